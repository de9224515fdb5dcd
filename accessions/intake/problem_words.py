"""What is wrong with a file, in the language of the reader. Readers of files say it in English.

Held against the source of the readers by ``tests/architecture/test_languages.py``.
"""

from __future__ import annotations

import re
from typing import Final

from django.contrib.humanize.templatetags.humanize import intcomma
from django.utils.translation import gettext_noop

from accessions.material.hints import said_hint
from accessions.people.phrases import Phrases, Word

SENTENCES: Final = (
    gettext_noop("it cannot be opened ({reason})"),
    gettext_noop("Check the name, and that you may read it."),
    gettext_noop("there are no rows below the header"),
    gettext_noop("Every specimen or lot is one row."),
    gettext_noop("headers hold a character that cannot be stored: {bad}"),
    gettext_noop("Take out what a text editor shows as an empty box or NUL."),
    gettext_noop("the archive has two members of one name"),
    gettext_noop("Pack it again with one member of each name."),
    gettext_noop("the archive has {count} members"),
    gettext_noop("At most {most} are read."),
    gettext_noop("the archive is locked with a password"),
    gettext_noop("Save it without a password."),
    gettext_noop("the archive is packed in an unusual way"),
    gettext_noop("Pack it with the usual zip method (deflate)."),
    gettext_noop("the archive would unpack to {bytes} bytes"),
    gettext_noop("At most {most} bytes are unpacked; split the file."),
    gettext_noop("it is {size} bytes long unpacked"),
    gettext_noop("At most {most} bytes are read of such a member."),
    gettext_noop("{packed} bytes would unpack to {unpacked} bytes"),
    gettext_noop("A member may grow {most} times at most; more is taken for an attack."),
    gettext_noop("the archive cannot be opened; it looks cut short or damaged"),
    gettext_noop("Copy or download the file again, or save it anew from the program that made it."),
    gettext_noop("the member is damaged, cut short or not as long as it says"),
    gettext_noop("they all stand for {term}"),
    gettext_noop("Keep one of them, or head the right one {term}."),
    gettext_noop("{member} says UTF-8, but the file is not: {note}"),
    gettext_noop("Correct the encoding in meta.xml."),
    gettext_noop("the file is empty"),
    gettext_noop("A table has a row of headers and rows below it."),
    gettext_noop("a quotation mark is not closed, or text stands after a closing one"),
    gettext_noop('A cell in quotation marks ends with one; a quotation mark inside it is doubled ("").'),
    gettext_noop("a cell is longer than {most} characters"),
    gettext_noop("the cell is longer than {most} characters"),
    gettext_noop("Shorten it."),
    gettext_noop("Shorten it; or close a quotation mark that was left open in this row."),
    gettext_noop("there is a NUL byte, which no text has"),
    gettext_noop("The file is damaged or no text file; save it anew as CSV in UTF-8, or as XLSX."),
    gettext_noop("the text begins like {encoding} but goes on otherwise"),
    gettext_noop("Save the whole file as UTF-8."),
    gettext_noop("the byte 0x{byte} is a letter neither in UTF-8 nor in Windows-1252"),
    gettext_noop("Save the file as UTF-8."),
    gettext_noop("the line is longer than {most} bytes"),
    gettext_noop("Rows are lines of text; check that the file is a table and that its lines end."),
    gettext_noop("the header has {count} columns"),
    gettext_noop("At most {most} are read; check the separator and the first row."),
    gettext_noop("two columns have one header: {header}"),
    gettext_noop("Give every column a header of its own."),
    gettext_noop("{count} more problems like these"),
    gettext_noop("Put these right first, then read it again."),
    gettext_noop("Put these right first, then read the file again."),
    gettext_noop("column {number} has no header but holds {data}"),
    gettext_noop("Give the column a header, or empty it."),
    gettext_noop("the row has {cells} cells, the header {width}"),
    gettext_noop("No row has more cells than the header; put a cell that holds the separator in quotes."),
    gettext_noop("the XML is nested too deep or has too many elements"),
    gettext_noop("At most {levels} levels and {elements} elements are read."),
    gettext_noop("the XML is {size} bytes long"),
    gettext_noop("the XML cannot be read ({error})"),
    gettext_noop("Save the file anew as well-formed XML."),
    gettext_noop("It counts as one or more."),
    gettext_noop("there is no catalogue number"),
    gettext_noop("The row is known again only as long as it stays as it is."),
    gettext_noop("the row names no accession"),
    gettext_noop("Fill accessionNumber, or choose one accession for the rows that name none."),
    gettext_noop("{number} is recorded in accession {accession}, not in {other}"),
    gettext_noop("Correct the number or the accession; a specimen is moved between accessions on its own page."),
    gettext_noop("{parent} would be taken from itself"),
    gettext_noop("Name the whole specimen."),
    gettext_noop("there is no specimen {parent}"),
    gettext_noop("Name a catalogue number of the register or of this file."),
    gettext_noop("{text} stands in row {rows} too"),
    gettext_noop("{text} stands in rows {rows} too"),
    gettext_noop("Every specimen has a number of its own: correct the number, or take out what was entered twice."),
    gettext_noop("{text} has {count} characters"),
    gettext_noop("At most {most} can be kept: shorten it."),
    gettext_noop("{text} holds a character that cannot be stored"),
    gettext_noop("Take out what a text editor shows as an empty box or NUL, and save the file as UTF-8."),
    gettext_noop("several sites are called {text}; give the locationID"),
    gettext_noop("its cells reach over {width} columns and up to {rows} rows"),
    gettext_noop(
        "At most {columns} columns and {cells} cells are read; delete what stands far from the "
        "table, or save it as CSV."
    ),
    gettext_noop("filled cells are repeated {cells} times and filled rows {rows} times"),
    gettext_noop("At most {cells} cells are read; delete the copies, or save the table as CSV."),
    gettext_noop("its XML is not UTF-8"),
    gettext_noop("Save the file anew."),
    gettext_noop("the sheet cannot be read"),
    gettext_noop("no column is known: {headers}"),
    gettext_noop("Head the columns with Darwin Core terms such as catalogNumber, eventDate, decimalLatitude."),
    gettext_noop("there is no column catalogNumber"),
    gettext_noop("Rows are told apart by their row number."),
    gettext_noop("no sheet holds anything"),
    gettext_noop("the sheet is empty"),
    gettext_noop("the spreadsheet cannot be read; it looks damaged or locked"),
    gettext_noop("Open it in a spreadsheet program and save it anew, without a password."),
    gettext_noop("They were read as blank; correct the formula or fill in the value."),
    gettext_noop("{count} formula cells: {cells}"),
    gettext_noop("They were read by their last stored value; put values in their place if that may be out of date."),
    gettext_noop("{count} cells with an error such as #N/A: {cells}"),
    gettext_noop("the archive is no XLSX or ODS file and has no meta.xml, so it is no Darwin Core archive"),
    gettext_noop("this is {found}"),
    gettext_noop("the file is {size} bytes long"),
    gettext_noop("At most {most} are read; split it."),
    gettext_noop("it describes no core file"),
    gettext_noop("An archive has one <core> with its <files> and <field>s."),
    gettext_noop("the core has {count} files"),
    gettext_noop("A core has exactly one <location>."),
    gettext_noop("the core file {file} is not in the archive"),
    gettext_noop("The archive holds {members}; name one of them."),
    gettext_noop("the core has rows of type {type}"),
    gettext_noop("Export the archive with the occurrences as its core, and the values of the events in their rows."),
    gettext_noop("encoding={encoding} is not known"),
    gettext_noop('Use encoding="UTF-8".'),
    gettext_noop("Both are one character, and not the same."),
    gettext_noop("It is a whole number."),
    gettext_noop("a <field> without a term, or no <field> at all"),
    gettext_noop("Every <field> has a term and an index."),
    gettext_noop("too many columns"),
    gettext_noop("The core {member} of the Darwin Core archive was read."),
    gettext_noop("Extensions of the archive were not read: {members}."),
    gettext_noop("{count} columns of the core have no term and were not read."),
    gettext_noop("Sheet {sheet} was read."),
    gettext_noop("Not read: {sheets}. One sheet is read; the one named Specimens, if there is one."),
    gettext_noop("Column {column} is read as {term}."),
    gettext_noop("Columns that are not known were kept aside: {columns}."),
    gettext_noop(
        "Column {column} stands beside a genus and may hold the whole name or the epithet; name it "
        "scientificName or specificEpithet to have it read."
    ),
    gettext_noop("Of several columns for {term} the one headed {column} is read."),
    gettext_noop("sheet {sheet}"),
    gettext_noop("row {row}"),
    gettext_noop("column {column}"),
    gettext_noop("columns {columns}"),
    gettext_noop("member {member}"),
    gettext_noop("line {line}"),
    gettext_noop("line {line} or after"),
)

_THOUSANDS: Final = re.compile(r"\d{1,3}(?:,\d{3})+")


def _number_said(text: str) -> str:
    """ "1,204" with the marks of the reader's language: in Spanish a comma would make it 1.204. Lists stay."""
    return intcomma(int(text.replace(",", ""))) if _THOUSANDS.fullmatch(text) else text


ALL: Final = Phrases(
    (*SENTENCES, "{quoted}: {hint}"),
    {
        "quoted": Word(r'".*"'), "hint": Word(".+", said_hint), "count": Word(r"[\d,]+", _number_said),
        "row": Word(r"\d+"),
        **dict.fromkeys(
            ("most", "bytes", "size", "packed", "unpacked", "width", "rows", "columns", "cells", "levels", "elements"),
            Word(".+", _number_said),
        ),
    },
)  # fmt: skip


def said_problem(text: str) -> str:
    """What was found, what to do, or a note of a reader, in the language of the reader of the page."""
    said = ALL.said(text)
    return said if said != text else said_hint(text)


def said_place(where: str) -> str:
    """``sheet "Specimens", row 14, column "eventDate"`` in the language of the reader of the page."""
    return ", ".join(map(ALL.said, where.split(", ")))
