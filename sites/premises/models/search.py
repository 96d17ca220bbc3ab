"""Words by which a premises is looked for."""

from django.db import models


class SearchWord(models.Model):
    """A closed-up word of a premises: small letters and digits without spaces or marks.

    `word` is bytes, so that every database orders it alike and finds all words that begin with some
    letters by its index. The acts that change what the words stand for renew them.
    """

    word = models.BinaryField(max_length=48)
    premises = models.ForeignKey(
        "sites.Premises", on_delete=models.CASCADE, related_name="search_words"
    )

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("word", "premises"), name="search_word_once"),
        )
