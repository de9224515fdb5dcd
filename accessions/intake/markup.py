"""XML from strangers: no document type, no entities, bounded depth and number of elements."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from xml.etree.ElementTree import Element, ParseError, TreeBuilder

from accessions.intake import limits
from accessions.intake.problems import FileProblems, refusal

DOCUMENT_TYPE_FOUND = "it has a document type or entity declaration (DTD)"
DOCUMENT_TYPE_EXPECTED = "Such declarations can make a small file grow without bound and are not read; save it without."


class _TooMuch(Exception):
    """The tree is too deep or has too many elements."""


class _BoundedBuilder(TreeBuilder):
    def __init__(self) -> None:
        super().__init__()
        self._depth = 0
        self._elements = 0

    def start(self, tag: Any, attrs: Any) -> Any:
        self._depth += 1
        self._elements += 1
        if self._depth > limits.MAX_MARKUP_DEPTH or self._elements > limits.MAX_MARKUP_ELEMENTS:
            raise _TooMuch
        return super().start(tag, attrs)

    def end(self, tag: Any) -> Any:
        self._depth -= 1
        return super().end(tag)


def parse_markup(data: bytes, file: str, where: str = "") -> Element:
    """The root element of an XML document.

    Raises:
        FileProblems: it is not well formed, declares a document type or entities, is too large, too deep or has too
            many elements.
    """
    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import DefusedXMLParser

    if len(data) > limits.MAX_MARKUP_BYTES:
        raise refusal(
            file, where, f"the XML is {len(data):,} bytes long", f"At most {limits.MAX_MARKUP_BYTES:,} are read."
        )
    parser = DefusedXMLParser(target=_BoundedBuilder(), forbid_dtd=True)
    try:
        parser.feed(data)
        root: Element = parser.close()
    except DefusedXmlException as error:
        raise refusal(file, where, DOCUMENT_TYPE_FOUND, DOCUMENT_TYPE_EXPECTED) from error
    except _TooMuch as error:
        raise _too_much(file, where) from error
    except (ParseError, ValueError, LookupError) as error:
        raise refusal(
            file, where, f"the XML cannot be read ({error})", "Save the file anew as well-formed XML."
        ) from error
    return root


def _too_much(file: str, where: str) -> FileProblems:
    return refusal(
        file,
        where,
        "the XML is nested too deep or has too many elements",
        f"At most {limits.MAX_MARKUP_DEPTH} levels and {limits.MAX_MARKUP_ELEMENTS:,} elements are read.",
    )


def local_name(tag: object) -> str:
    """Name of an element without its namespace; "" for comments."""
    return tag.rsplit("}", 1)[-1] if isinstance(tag, str) else ""


def children(element: Element, name: str) -> Iterable[Element]:
    """The direct children of that name, in whatever namespace."""
    return (child for child in element if local_name(child.tag) == name)


def descendants(element: Element, name: str) -> Iterable[Element]:
    """The element itself and all below it of that name, in whatever namespace."""
    return (child for child in element.iter() if local_name(child.tag) == name)
