"""Darwin Core archives (TDWG text guide): meta.xml says how the core file is written."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from accessions.intake.problems import FileProblems
from accessions.intake.specimens import read_specimens
from accessions.intake.tables import read_table

DWC = "http://rs.tdwg.org/dwc/terms/"


def _meta(fields: str, attributes: str = "", location: str = "occurrence.txt", extra: str = "") -> str:
    return (
        '<?xml version="1.0"?><archive xmlns="http://rs.tdwg.org/dwc/text/">'
        f'<core rowType="{DWC}Occurrence" encoding="UTF-8" fieldsTerminatedBy="\\t" linesTerminatedBy="\\n" '
        f'fieldsEnclosedBy="" ignoreHeaderLines="1" {attributes}><files><location>{location}</location></files>'
        f'<id index="0"/>{fields}</core>{extra}</archive>'
    )


def _archive(tmp_path: Path, meta: str, core: bytes) -> Path:
    path = tmp_path / "dwca.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("meta.xml", meta)
        archive.writestr("occurrence.txt", core)
    return path


def _refused(path: Path) -> str:
    with pytest.raises(FileProblems) as caught:
        read_table(path)
    return str(caught.value)


FIELDS = f'<field index="1" term="{DWC}catalogNumber"/><field index="2" term="{DWC}eventDate" default="2023"/>'


def test_core_is_read_by_its_terms(tmp_path: Path) -> None:
    constant = f'<field term="{DWC}countryCode" default="CR"/>'
    path = _archive(tmp_path, _meta(FIELDS + constant), b'id\tno\twhen\n1\t00417\t2023-05-01\n2\t"8"\t\n')
    table = read_specimens(path)
    assert table.columns == {
        "catalogNumber": ["00417", '"8"'],
        "eventDate": ["2023-05-01", "2023"],
        "countryCode": ["CR", "CR"],
    }
    assert list(table.row_numbers) == [2, 3]


def test_quoted_commas(tmp_path: Path) -> None:
    meta = _meta(FIELDS).replace('fieldsTerminatedBy="\\t"', 'fieldsTerminatedBy=","')
    meta = meta.replace('fieldsEnclosedBy=""', "fieldsEnclosedBy='\"'")
    path = _archive(tmp_path, meta, b'id,no,when\n1,"a,b",2023\n')
    assert read_table(path).data[0] == ["a,b"]


def test_stated_encoding(tmp_path: Path) -> None:
    meta = _meta(FIELDS).replace('encoding="UTF-8"', 'encoding="windows-1252"')
    path = _archive(tmp_path, meta, "id\tno\twhen\n1\tCórdoba\t2023\n".encode("cp1252"))
    assert read_table(path).data[0] == ["Córdoba"]
    wrong = _archive(tmp_path, _meta(FIELDS), "id\tno\twhen\n1\tCórdoba\t2023\n".encode("cp1252"))
    assert "says UTF-8" in _refused(wrong)


def test_core_of_events_is_refused(tmp_path: Path) -> None:
    """Events are no specimens; judging them as such would be wrong."""
    extension = f'<extension rowType="{DWC}Occurrence"/>'
    meta = _meta(FIELDS, extra=extension).replace(f"{DWC}Occurrence", f"{DWC}Event", 1)
    message = _refused(_archive(tmp_path, meta, b"id\tno\twhen\n"))
    assert '"Event"' in message and "extension" in message


def test_absent_core_file(tmp_path: Path) -> None:
    message = _refused(_archive(tmp_path, _meta(FIELDS, location="other.txt"), b""))
    assert '"other.txt"' in message and '"occurrence.txt"' in message


def test_billion_laughs(tmp_path: Path) -> None:
    laughs = '<!DOCTYPE l [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;">]>'
    meta = _meta(FIELDS + "<x>&c;</x>").replace("<archive", laughs + "<archive", 1)
    message = _refused(_archive(tmp_path, meta, b""))
    assert "meta.xml" in message and "DTD" in message


@pytest.mark.parametrize(
    ("old", "new", "word"),
    [
        ('index="1"', 'index="one"', "index"),
        ('linesTerminatedBy="\\n"', 'linesTerminatedBy="#"', "linesTerminatedBy"),
        ('encoding="UTF-8"', 'encoding="KOI-99"', "KOI-99"),
        ('fieldsTerminatedBy="\\t"', 'fieldsTerminatedBy="ab"', "fieldsTerminatedBy"),
        (">occurrence.txt<", "><", "not in the archive"),
        ("</archive>", "", "cannot be read"),
    ],
)
def test_faults_of_meta_are_named(tmp_path: Path, old: str, new: str, word: str) -> None:
    message = _refused(_archive(tmp_path, _meta(FIELDS).replace(old, new), b"id\tno\twhen\n1\t2\t3\n"))
    assert "meta.xml" in message and word in message
