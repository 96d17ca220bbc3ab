"""The firm's logo: a PNG or JPEG as it comes, checked, made small, and written anew as PNG."""

import io

MOST_BYTES = 2_000_000
MOST_PIXELS = 20_000_000
# As wide and as high as it is kept, in pixels: 600 are 51 mm at 300 dots an inch.
BOX = (600, 240)


class LogoError(Exception):
    """A file cannot be taken as logo; says why and what to do."""


def small_png(data: bytes) -> bytes:
    """The picture as PNG of at most `BOX` pixels, without anything else that its file held.

    Raises LogoError for what is no PNG or JPEG, is broken, or is too large.
    """
    from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

    if len(data) > MOST_BYTES:
        raise LogoError("This file is larger than 2 MB. Choose a smaller picture.")
    ImageFile.LOAD_TRUNCATED_IMAGES = False  # WeasyPrint sets it: what is cut off would be grey.
    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as found:
            if found.width * found.height > MOST_PIXELS:
                raise LogoError("This picture has more than 20 million pixels. Make it smaller.")
            turned = ImageOps.exif_transpose(found)
            plain = turned.convert("RGBA" if turned.has_transparency_data else "RGB")
    except UnidentifiedImageError:
        raise LogoError("This is no PNG or JPEG picture. Save it as one of the two.") from None
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise LogoError("This picture is broken. Save it again, then choose it.") from None
    plain.thumbnail(BOX)
    # A new picture, so that no text or profile of the old file goes along.
    bare = Image.new(plain.mode, plain.size)
    bare.paste(plain)
    out = io.BytesIO()
    bare.save(out, "PNG", optimize=True)
    return out.getvalue()
