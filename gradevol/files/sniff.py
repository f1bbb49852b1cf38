"""Which kind a file is, by its first bytes; where they don't tell, by its name."""

import difflib
import io
import re
from dataclasses import dataclass
from pathlib import Path

from gradevol.ground.errors import InputError

#: Bytes that are looked at.
HEAD = 64 * 1024
#: Of the kinds that are parsed whole, what is read as the file is opened; of a larger one, a cloud
#: mostly, only the first bytes, bytes.
_AT_ONCE = 64 * 1024 * 1024
_WHOLE = frozenset({"text", "GeoJSON", "workbook"})

#: First bytes of a kind, from its format's own specification: ASPRS LAS 1.4 R15 2.4; TIFF 6.0
#: section 2; RFC 1952 2.3.1, as LandXML is packed; DXF reference, "Binary DXF files"; PKWARE
#: APPNOTE 4.3.7; ISO 32000-1 7.5.2; W3C PNG (2003) 5.2; ITU-T T.81 B.1.1.3; W3C GIF89a 17; MS-CFB
#: 2.2; SQLite file format 1.3; ASTM E2807, from memory. DWG's is common knowledge, no source.
_OPENINGS = (
    (b"LASF", "LAS"),
    (b"II*\x00", "GeoTIFF"),
    (b"MM\x00*", "GeoTIFF"),
    (b"\x1f\x8b", "LandXML"),
    (b"AutoCAD Binary DXF", "DXF"),
    (b"AC10", "DWG"),
    (b"PK\x03\x04", "zip"),
    (b"%PDF-", "PDF"),
    (b"\x89PNG\r\n", "PNG"),
    (b"\xff\xd8\xff", "JPEG"),
    (b"GIF8", "GIF"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "xls"),
    (b"SQLite format 3\x00", "SQLite"),
    (b"ASTM-E57", "E57"),
)
#: What stands further on, where, and its kind: RFC 9649 2.4; ISO/IEC 14496-12 4.3 and, of pictures
#: as telephones take them, 23008-12 (from memory).
_WITHIN = (
    (8, b"WEBP", "WebP"),
    *((4, b"ftyp" + brand, "HEIF") for brand in (b"hei", b"hev", b"mif", b"msf", b"avi")),
    (4, b"ftyp", "film"),
)
#: What stands at the start of an OpenDocument spreadsheet, unpacked: OpenDocument 1.2, part 3, 3.3,
#: from memory.
_ODS = b"mimetypeapplication/vnd.oasis.opendocument.spreadsheet"
#: Openings of text, behind blanks and a byte order mark.
_TEXTS = (
    (re.compile(rb"ply\s"), "PLY"),
    (re.compile(rb"0\s+SECTION\b"), "DXF"),
    (re.compile(rb"<"), "LandXML"),
    (re.compile(rb"ncols\s+\d+\s*\n\s*nrows\b", re.IGNORECASE), "ASCII grid"),
    (re.compile(rb"(?:.*\n){0,80}?\[(?:base|slab|top)\]"), "job"),
    (re.compile(rb"[{\[]"), "GeoJSON"),
)
#: Kinds by the ending of the name, before their text is looked at: it may begin as any other's.
_ENDINGS = {
    **{".dxf": "DXF", ".stl": "STL", ".obj": "OBJ", ".ply": "PLY"},
    **{".xml": "LandXML", ".tif": "GeoTIFF"},
}
#: Lines of an OBJ file before its corners: Wavefront's own keywords.
_OBJ_LINE = re.compile(rb"(?:mtllib|usemtl|[gos]|v[nt]?|f|l|p)\s|#|\s*$")
_OBJ_CORNER = re.compile(rb"^v\s+[-+.\d]", re.MULTILINE)
_OBJ_LINES = 50

#: What each kind is in words, for whoever wants another.
_WORDS = {
    "LAS": "a point cloud (LAS or LAZ)",
    "PLY": "a PLY mesh",
    "OBJ": "an OBJ mesh",
    "STL": "an STL mesh",
    "DXF": "a DXF drawing",
    "GeoTIFF": "a TIFF picture",
    "LandXML": "XML, as LandXML is",
    "GeoJSON": "JSON, as GeoJSON is",
    "ASCII grid": "a grid of elevations (ASCII grid)",
    "job": "a job file, which `gradevol check` reads",
    "text": "delimited text",
    "workbook": "an Excel workbook (.xlsx)",
}
_TYPE_IN = (
    "Type what it shows into a table and save it as CSV: of delivery tickets one row a load, under "
    "load,ticket,volume,finished"
)
#: What no reader takes, in words, and what to do about it.
_OTHERS = {
    "DWG": (
        "a DWG drawing, whose format is not published",
        "Save it as DXF in the drawing program",
    ),
    "zip": (
        "a zip archive",
        "Unpack it and name the file in it; a spreadsheet can be saved as CSV",
    ),
    "ODS": (
        "an OpenDocument spreadsheet (.ods), which is not read",
        "In the spreadsheet program, save it as .xlsx, or the sheet that is meant as CSV",
    ),
    "xls": ("an old Office file, as an Excel workbook (.xls) is", "Save the table as CSV"),
    "PDF": (
        "a PDF, and what is printed in it is not read",
        f"Have a drawing sent as DXF or LandXML. {_TYPE_IN}",
    ),
    **{
        kind: (f"a {kind} picture, and a picture is not read", _TYPE_IN)
        for kind in ("PNG", "JPEG", "GIF", "HEIF", "WebP")
    },
    "film": ("a film, and a film is not read", _TYPE_IN),
    "SQLite": ("an SQLite database", "Export the table in it as CSV"),
    "E57": ("a scan as E57, which is not read", "Export the cloud as LAS or LAZ"),
}


@dataclass(frozen=True, slots=True)
class File:
    """
    A file that was opened.

    Attributes
    ----------
    path : Path
    kind : str
        ``LAS``, ``PLY``, ``OBJ``, ``STL``, ``DXF``, ``LandXML``, ``GeoTIFF``, ``GeoJSON``,
        ``ASCII grid``, ``job``, or ``text``: of points, corners, readings, notes; or ``workbook``,
        of the same.
    start : bytes
        Its first bytes, to the end of a line; all of them where `is_whole`.
    is_whole : bool
    """

    path: Path
    kind: str
    start: bytes
    is_whole: bool

    @property
    def words(self) -> str:
        """Its kind, in words."""
        return "a gzip archive" if self.start.startswith(b"\x1f\x8b") else _WORDS[self.kind]

    @property
    def head(self) -> bytes:
        """Its first whole lines, as many as show what a table is like."""
        end = self.start.find(b"\n", HEAD) + 1
        return self.start[: end or 2 * HEAD]

    def read(self) -> bytes:
        """All of its bytes."""
        return self.start if self.is_whole else self.path.read_bytes()

    def stream(self) -> io.BytesIO | io.BufferedReader:
        """Its bytes, to be read piece by piece."""
        return io.BytesIO(self.start) if self.is_whole else self.path.open("rb")


def open_file(path: Path, *, most: int = _AT_ONCE) -> File:
    """
    Open a file, and see which kind it is.

    Parameters
    ----------
    path : Path
    most : int
        Of text, what is read at once if the file is no larger, bytes.

    Raises
    ------
    InputError
        If it is not there, can't be read, is empty, or is of a kind that no reader takes.
    """
    if path.is_dir():
        raise InputError("it is a folder", remedy="Name the file in it", path=path)
    try:
        with path.open("rb") as file:
            start = file.read(HEAD)
            kind = sniff(path, start)
            size = path.stat().st_size
            if len(start) == HEAD:
                is_small = kind in _WHOLE and size <= most
                start += file.read() if is_small else file.readline(HEAD)
    except FileNotFoundError as error:
        raise _say_missing(path) from error
    except (OSError, ValueError) as error:  # ValueError: a name with a NUL
        raise InputError(
            f"it cannot be read ({getattr(error, 'strerror', None) or error})",
            remedy="Check the file's name and permissions",
            path=path,
        ) from error
    if not start:
        raise InputError("it is empty", remedy="Check that this is the right file", path=path)
    if kind in _OTHERS:
        words, remedy = _OTHERS[kind]
        raise InputError(f"it is {words}", remedy=remedy, path=path)
    return File(path, kind, start, is_whole=len(start) >= size)


def sniff(path: Path, start: bytes) -> str:
    """Which kind a file with this name and these first bytes is: one of `File.kind`, or another."""
    for at, opening, kind in (*((0, *each) for each in _OPENINGS), *_WITHIN):
        if start.startswith(opening, at):
            return _look_into_zip(path, start) if kind == "zip" else kind
    if start.startswith((b"\xff\xfe", b"\xfe\xff")):
        start = start.decode("utf-16", "ignore").encode("utf-8", "ignore")
    text = start.lstrip(b"\xef\xbb\xbf \t\r\n").replace(b"\r", b"\n")
    if _TEXTS[0][0].match(text):
        return _TEXTS[0][1]
    if ending := _ENDINGS.get(path.suffix.lower()):
        return ending
    for pattern, kind in _TEXTS[1:]:
        if pattern.match(text):
            return kind
    is_obj = _OBJ_CORNER.search(text) and all(map(_OBJ_LINE.match, text.split(b"\n")[:_OBJ_LINES]))
    return "OBJ" if is_obj else "text"


def _look_into_zip(path: Path, start: bytes) -> str:
    """Which kind a zip archive is: its parts are named in it, and so is it."""
    if _ODS in start[:HEAD] or path.suffix.lower() == ".ods":
        return "ODS"
    return "workbook" if b"xl/" in start or path.suffix.lower() in {".xlsx", ".xlsm"} else "zip"


def _say_missing(path: Path) -> InputError:
    if path.is_symlink():
        problem = f"it is a link to {path.readlink()}, which is not there"
        return InputError(problem, remedy="Check the link", path=path)
    beside = [other.name for other in path.parent.iterdir()] if path.parent.is_dir() else []
    near = [
        name
        for name in difflib.get_close_matches(path.name, beside)
        # endings alike make no names alike
        if difflib.get_close_matches(path.stem, [Path(name).stem])
    ]
    remedy = f"Did you mean {near[0]!r}?" if near else "Check the name and the folder"
    return InputError("there is no such file", remedy=remedy, path=path)


def say_damaged(problem: str, path: Path, *, line: int | None = None) -> InputError:
    """Say that a file is of its format, and yet breaks it."""
    remedy = "The file is damaged or was cut short: export it again"
    return InputError(problem, remedy=remedy, path=path, line=line)
