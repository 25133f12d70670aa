"""Read XML from outside, with entities (and so entity bombs) refused."""

from xml.etree.ElementTree import Element

from aanplant.errors import InputError
from aanplant.files.reading import broken_files_refused


def parse_xml(data: bytes, where: str, expected: str) -> Element:
    """Parse XML and return its root element.

    Raises
    ------
    InputError
        If the text is no sound XML, or declares entities or outside references.
    """
    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import fromstring

    with broken_files_refused(where, expected):
        try:
            root: Element = fromstring(data)
        except DefusedXmlException:
            raise InputError(
                where, "XML that declares entities of its own", f"{expected} without them"
            ) from None
    return root


def local_name(element: Element) -> str:
    """Return an element's name without its namespace, which differs between versions."""
    return str(element.tag).rpartition("}")[2]


def children(element: Element, *names: str) -> list[Element]:
    """Return the direct children with one of the names, in order."""
    return [child for child in element if local_name(child) in names]


def text_of(element: Element, name: str) -> str:
    """Return the trimmed text of the first child of that name, "" when there is none."""
    found = children(element, name)
    return (found[0].text or "").strip() if found else ""


def number_in(text: str | None, where: str) -> float:
    """Turn the text of a coordinate into a number.

    Raises
    ------
    InputError
        If it is none.
    """
    try:
        return float(text or "")
    except ValueError:
        raise InputError(where, f"the coordinate {text!r}", "a number") from None
