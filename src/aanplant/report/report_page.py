"""The report on a whole plan as one page for a browser, that asks nothing of the network."""

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from aanplant.report.markup import Html, element, joined
from aanplant.report.page_style import SECURITY, style_of
from aanplant.report.plan_report import Report
from aanplant.report.svg import Drawing

Told = Mapping[str, Any]


def write_report_page(report: Report, path: Path) -> None:
    """Write the report as an HTML page that holds its drawings, typefaces and looks.

    Parameters
    ----------
    report : Report
        Its texts and drawings.
    path : Path
        Where to write.
    """
    path.write_text(page_of(report), encoding="utf-8")


def page_of(report: Report) -> str:
    """Return the page; parameters as ``write_report_page``."""
    data = report.data
    words: Mapping[str, str] = data["words"]
    title = f"{data['title']}, {words['title']}"
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", http_equiv="Content-Security-Policy", content=SECURITY),
        element("meta", name="color-scheme", content="light dark"),
        element("meta", name="author", content=data["author"]),
        element("title", title),
        element("style", Html(style_of(data["paper"]))),
    )
    body = element(
        "body",
        element("a", words["skip"], class_="skip", href="#parts"),
        element("header", _opening(data, report.drawings)),
        element("nav", _contents(data), aria_labelledby="contents"),
        element("main", _parts(data, report.drawings), _closing(data), id="parts"),
        element("footer", element("p", f"{words['standing']} · {data['date']}")),
    )
    return f"<!DOCTYPE html>\n{element('html', head, body, lang=data['language'])}\n"


def _opening(data: Told, drawings: Mapping[str, Drawing]) -> Html:
    words, decide = data["words"], data["decide"]
    facts = (joined((element("dt", name), element("dd", value))) for name, value in data["facts"])
    glance = (joined((element("dt", name), element("dd", text))) for name, text in data["glance"])
    stops = decide["stops"]
    standing = (
        element("strong", f"{words['stops']}.", class_="stop")
        if stops
        else element("strong", words["nothing_stops"])
    )
    return joined((
        element("h1", data["title"]),
        element("p", words["title"], class_="under"),
        element("dl", (element("div", fact) for fact in facts), class_="facts"),
        _picture(data["picture"], drawings),
        element("h2", words["glance"]),
        element("dl", (element("div", line) for line in glance), class_="glance"),
        element("p", standing, " ", data["counts"]),
        element("h2", words["decide"]),
        (_finding({"level": "stop", "word": "", "text": text, "mark": ""}) for text in stops),
        _asked(words, decide["asked"]),
        (element("h3", words["open"]), element("ul", (element("li", text)
                                                      for text in decide["open"])))
        if decide["open"] else "",
        element("h2", words["key_figures"]),
        element("div", (_key_figures(part) for part in data["key_figures"]), class_="key"),
    ))  # fmt: skip


def _asked(words: Mapping[str, str], asked: Sequence[str]) -> Html:
    if not asked:
        return Html()
    return joined((
        element("h3", words["asked"]),
        (_finding({"level": "care", "word": "", "text": text, "mark": ""}) for text in asked),
        element("p", words["all_findings"], class_="soft"),
    ))  # fmt: skip


def _key_figures(part: Told) -> Html:
    rows = (
        element(
            "tr",
            element("th", label, scope="row"),
            element("td", value, class_="right"),
            element("td", unit, mark),
        )
        for label, value, unit, mark in part["rows"]
    )
    return element("table", element("caption", part["title"]), element("tbody", rows))


def _contents(data: Told) -> Html:
    words = data["words"]
    lines = []
    for number, part in enumerate(data["parts"], start=1):
        below = (
            element("li", _link(chapter["key"], f"{number}.{place} {chapter['title']}"))
            for place, chapter in enumerate(part["chapters"], start=1)
        )
        lines.append(
            element(
                "li", _link(part["key"], f"{number} {part['title']}"), element("ul", below)
            )
        )  # fmt: skip
    for number, key in enumerate(("register", "workings"), start=len(lines) + 1):
        lines.append(element("li", _link(key, f"{number} {words[key]}")))
    return joined((
        element("h2", words["contents"], id="contents"),
        element("ul", lines),
        element("p", data["marks"], class_="soft"),
    ))  # fmt: skip


def _link(key: str, text: str) -> Html:
    return element("a", text, href=f"#{key}")


def _parts(data: Told, drawings: Mapping[str, Drawing]) -> Html:
    words = data["words"]
    return joined(
        _section(
            1, str(number), part["key"], part["title"],
            (
                _section(2, f"{number}.{place}", chapter["key"], chapter["title"],
                         _chapter(chapter, words, drawings))
                for place, chapter in enumerate(part["chapters"], start=1)
            ),
        )
        for number, part in enumerate(data["parts"], start=1)
    )  # fmt: skip


def _section(depth: int, number: str, key: str, title: str, *content: str | Iterable[Any]) -> Html:
    """Return a section under its numbered heading; the title of the page is the only h1."""
    heading = element(f"h{depth + 1}", element("span", number, class_="number"), " ", title)
    return element("section", heading, *content, id=key)


def _chapter(chapter: Told, words: Mapping[str, str], drawings: Mapping[str, Drawing]) -> Html:
    found = chapter["findings"]
    return joined((
        (element("p", text, class_="missing") for text in chapter["missing"]),
        (element("p", text) for text in chapter["paragraphs"]),
        (_picture(placed, drawings) for placed in chapter["pictures"]),
        (_table(table) for table in chapter["tables"]),
        (element("h4", words["findings"]), (_finding(one) for one in found)) if found else "",
        (_picture(placed, drawings, "plate") for placed in chapter["plates"]),
    ))  # fmt: skip


def _picture(placed: Told, drawings: Mapping[str, Drawing], kind: str = "drawn") -> Html:
    """Return a drawing, which can be moved about in a narrow window."""
    drawing = drawings[placed["file"]]
    width = drawing.width_mm if kind == "plate" else placed["width"]
    image = drawing.svg(alone=False, name=placed["file"].removesuffix(".svg"))
    shown = element("div", Html(image), class_="window", tabindex=0, role="group",
                    aria_label=placed["caption"])  # fmt: skip
    return element("figure", shown, element("figcaption", placed["caption"]),
                   class_=kind, style=f"--width:{width:.1f}mm")  # fmt: skip


def _table(table: Told) -> Html:
    sides = ["" if side == "left" else "right" for side in table["align"]]
    heads = (
        element("th", text, scope="col", class_=side)
        for text, side in zip(table["heads"], sides, strict=True)
    )
    rows = (
        element(
            "tr",
            element("th", first, scope="row", class_=sides[0]),
            (element("td", text, class_=side) for text, side in zip(rest, sides[1:], strict=True)),
        )
        for first, *rest in table["rows"]
    )
    name = table["title"] or ", ".join(text for text in table["heads"] if text)
    made = element("table", element("thead", element("tr", heads)), element("tbody", rows))
    return joined((
        element("h4", table["title"]) if table["title"] else "",
        element("div", made, class_="window", tabindex=0, role="group", aria_label=name),
    ))  # fmt: skip


def _finding(found: Told) -> Html:
    level = element("strong", found["word"], " ") if found["word"] else ""
    return element("p", level, found["text"], found["mark"], class_=f"finding {found['level']}")


def _closing(data: Told) -> Html:
    """Return findings to be ticked off, workings and sources."""
    words, first = data["words"], len(data["parts"]) + 1
    listed = (
        (
            element("h3", part["title"]),
            element("ul", (element("li", _finding(found)) for found in part["findings"]),
                    class_="ticks"),
        )
        for part in data["register"]
    )  # fmt: skip
    others = data["others"]
    subjects = (
        _section(2, f"{first + 1}.{place}", f"workings-{place}", subject["title"],
                 element("dl", (_working(figure) for figure in subject["figures"]),
                         class_="workings"))
        for place, subject in enumerate(data["workings"], start=1)
    )  # fmt: skip
    sources = (
        element(
            "tr",
            element("th", number, scope="row", id=f"source-{number}"),
            (element("td", text) for text in rest),
        )
        for number, *rest in data["sources"]
    )
    return joined((
        _section(
            1, str(first), "register", words["register"],
            element("p", words["register_note"], class_="soft"),
            *listed,
            (element("h3", words["others"]), (_finding(found) for found in others))
            if others else "",
        ),
        _section(
            1, str(first + 1), "workings", words["workings"],
            element("p", f"{words['workings_note']} {data['marks']}", class_="soft"),
            *subjects,
            _section(2, f"{first + 1}.{len(data['workings']) + 1}", "sources", words["sources"],
                     element("table", element("tbody", sources))),
        ),
    ))  # fmt: skip


def _working(figure: Told) -> Html:
    """One figure with its formula and inputs; an input that is a figure leads to it."""
    number = figure["source"]
    source = (" [", _link(f"source-{number}", str(number)), f"]{figure['mark']}") if number else ""
    inputs: list[Html] = []
    for name, value, origin, key in figure["inputs"]:
        where = (
            (" (", _link(f"figure-{key}", key), ")") if key else f" ({origin})" if origin else ""
        )
        inputs.append(joined(("; " if inputs else "", f"{name} {value}", where)))
    return element(
        "div",
        element(
            "dt",
            element("strong", f"{figure['label']} = {figure['value']}"), " ",
            element("span", figure["key"], class_="soft"),
        ),
        element("dd", f"= {figure['formula']}", source),
        element("dd", inputs, class_="soft") if inputs else "",
        id=f"figure-{figure['key']}",
    )  # fmt: skip
