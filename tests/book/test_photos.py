"""Photos are looked into, made smaller and stripped before they are kept."""

from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from pytest_django import Settings

from halfwater.book import changes
from halfwater.errors import RefusedInput


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: Settings) -> Path:
    """A photo folder of the test's own."""
    settings.PHOTO_FOLDER = tmp_path
    return tmp_path


def _picture(size: tuple[int, int] = (40, 30), kind: str = "JPEG", exif: Image.Exif | None = None) -> bytes:
    out = BytesIO()
    extra = {"exif": exif} if exif else {}
    Image.linear_gradient("L").resize(size).convert("RGB").save(out, kind, **extra)
    return out.getvalue()


def test_a_photo_is_kept_once_under_what_is_in_it(folder: Path) -> None:
    """The same photo twice is one file, another photo another."""
    names = [
        changes.keep_photo(_picture()),
        changes.keep_photo(_picture()),
        changes.keep_photo(_picture(kind="PNG")),
    ]
    assert names[0] == names[1]
    assert sorted(str(path.relative_to(folder)) for path in folder.rglob("*.jpg")) == sorted({*names})


def test_nothing_hidden_stays_in_a_photo(folder: Path) -> None:
    """Where and with what a photo was taken is gone, and it stands upright."""
    exif = Image.Exif()
    exif[0x010F] = "A Camera"
    exif[0x0112] = 6  # turned by a quarter
    exif.get_ifd(0x8825)[1] = "N"
    name = changes.keep_photo(_picture((40, 30), exif=exif))
    with Image.open(folder / name) as kept:
        assert dict(kept.getexif()) == {}
        assert kept.size == (30, 40)
    assert b"A Camera" not in (folder / name).read_bytes()


def test_a_large_photo_is_made_smaller(folder: Path) -> None:
    """The longer side ends at 2000 points, the shape stays."""
    with Image.open(folder / changes.keep_photo(_picture((4000, 1000)))) as kept:
        assert kept.size == (2000, 500)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"not a picture",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        _picture()[:200],
        _picture(kind="GIF"),
        b"x" * 15_000_001,
    ],
    ids=["empty", "text", "svg", "cut off", "gif", "too large"],
)
def test_what_is_no_photo_is_refused(folder: Path, data: bytes) -> None:
    """Nothing is kept of what Pillow cannot read whole, or of other kinds."""
    with pytest.raises(RefusedInput, match="photo"):
        changes.keep_photo(data)
    assert list(folder.iterdir()) == []
