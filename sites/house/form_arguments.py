"""What a form is made with, for forms that take more than Django's own."""

from collections.abc import Mapping
from typing import TypeAlias, TypedDict

from django.core.files.uploadedfile import UploadedFile
from django.utils.datastructures import MultiValueDict

Sent: TypeAlias = Mapping[str, object] | None
"""What was typed; None for a form that was not sent."""

SentFiles: TypeAlias = MultiValueDict[str, UploadedFile[bytes]] | None


class FormArguments(TypedDict, total=False):
    """The other arguments of Django's form that ours use."""

    auto_id: bool | str
    prefix: str
    initial: dict[str, object]
