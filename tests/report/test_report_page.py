"""The report as one page: the same as the PDF, whole in itself, legible by day and by night."""

import io
import re
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from lxml import html  # type: ignore[import-untyped]
from pypdf import PdfReader

import aanplant.report
from aanplant.report.markup import element
from aanplant.report.page_style import BY_NIGHT, NAMES
from aanplant.report.plan_report import report_of, write_report_pdf
from aanplant.report.report_page import page_of, write_report_page
from aanplant.report.style import PAPER, SHEET
from tests.report import blocks, sites
from tests.report.test_plan_report import example, plain
from tests.report.test_sheet import HOSTILE

LARGEST_BYTES = 3_000_000
LEAST_CONTRAST = 4.5
PHONE, DESK = 360, 1600
NO_TEXTS = {"language", "running", "paper", "key", "file", "alt", "align", "level", "stops"}


@cache
def report():
    return report_of(example(), made=blocks.MADE)


@cache
def page():
    return html.document_fromstring(page_of(report()))


def text_of(node):
    return " ".join(node.text_content().split())


def texts(told):
    """Return all texts of the report's data, but for names of files and of looks."""
    if isinstance(told, str):
        return [told]
    if isinstance(told, dict):
        told = [value for key, value in told.items() if key not in NO_TEXTS]
    return [text for one in told for text in texts(one)] if isinstance(told, list) else []


def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
              for part in parts]  # fmt: skip
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.fixture(scope="module")
def paper(tmp_path_factory):
    path = tmp_path_factory.mktemp("paper") / "report.pdf"
    write_report_pdf(report(), path, made=blocks.MADE)
    return PdfReader(io.BytesIO(path.read_bytes()))


@pytest.fixture(scope="module")
def printed(paper):
    return plain("\n".join(sheet.extract_text() for sheet in paper.pages))


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "report.html"
    write_report_page(report(), path)
    return path


def test_the_numbered_headings_are_those_of_the_pdf(paper):
    marks = []

    def gather(items):
        for item in items:
            if isinstance(item, list):
                gather(item)
            else:
                marks.append(" ".join(item.title.split()))

    gather(paper.outline)
    headings = [
        text_of(node) for node in page().xpath("//main//section/*[self::h2 or self::h3][1]")
    ]

    assert headings == marks


def test_every_text_of_the_page_stands_in_the_pdf(printed):
    pieces = page().xpath(
        "//body//text()[not(ancestor::*[name()='svg' or name()='a' or name()='figcaption'])]"
    )

    missing = [piece for piece in pieces if plain(piece) not in printed]

    assert missing == []


def test_every_text_that_the_pdf_is_given_stands_in_the_page():
    shown = plain(" ".join(page().xpath("//body//text()")))

    assert [text for text in texts(report().data) if plain(text) not in shown] == []


def test_nothing_is_fetched_and_nothing_runs():
    links = page().xpath("//@href | //@src | //@srcset | //@action")

    assert not page().xpath(
        "//script | //link | //iframe | //object | //img | //@*[starts-with(name(), 'on')]"
    )
    assert [link for link in links if not link.startswith("#")] == []
    assert re.findall(r"url\((?!data:|#)[^)]*\)", page_of(report())) == []


def test_every_link_leads_to_a_place_and_every_name_is_used_once():
    names = page().xpath("//@id")

    assert len(names) == len(set(names))
    assert {link[1:] for link in page().xpath("//a/@href")} <= set(names)
    inner = re.findall(r"clip-path=\"url\(#([^)]*)\)", page_of(report()))
    assert inner
    assert set(inner) <= set(names)


def test_headings_never_skip_a_level():
    levels = [int(node.tag[1]) for node in page().xpath("//h1 | //h2 | //h3 | //h4")]

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_tables_name_their_columns_and_rows_and_drawings_have_words():
    assert page().xpath("//th[not(@scope)]") == []
    assert page().xpath("//tbody/tr[not(th)]") == []
    assert all(page().xpath("//*[name()='svg'][@role='img']/*[name()='title']/text()"))
    assert len(page().xpath("//figure/figcaption[normalize-space()]")) == len(report().drawings)


def test_it_stays_small_enough_to_send(written):
    assert written.stat().st_size <= LARGEST_BYTES


@pytest.mark.published(
    source="Web Content Accessibility Guidelines 2.2, contrast ratio of white on #767676",
    quantity="contrast of two colours", unit="-",
)  # fmt: skip
def test_contrast_is_reckoned_as_the_guidelines_do(published):
    published.equal(contrast("#FFFFFF", "#767676"), printed=4.54, tolerance=0.005)


@pytest.mark.parametrize("name", ["ink", "soft", "pen", "care", "stop"])
def test_text_can_be_read_by_day_and_by_night(name):
    colour = NAMES[name]

    for ground in (PAPER, SHEET):
        assert contrast(colour, ground) >= LEAST_CONTRAST
        assert contrast(BY_NIGHT[colour], BY_NIGHT[ground]) >= LEAST_CONTRAST


def test_every_colour_that_is_drawn_has_a_form_by_night():
    sources = Path(aanplant.report.__file__).parent.glob("*.py")
    text = "".join(path.read_text("utf-8") for path in sources if path.name != "page_style.py")
    drawn = set(re.findall(r"#[0-9A-Fa-f]{6}", text))

    assert drawn - set(BY_NIGHT) == set()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [PHONE, DESK])
def test_a_browser_shows_it_without_complaint_or_request(written, browser, scheme, width):
    said, asked = [], []
    with browser.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme) as opened:
        opened.on("console", lambda message: said.append(message.text))
        opened.on("pageerror", lambda error: said.append(str(error)))
        opened.on("request", lambda request: asked.append(request.url))
        opened.goto(written.as_uri())

        ground = opened.evaluate("getComputedStyle(document.body).backgroundColor")
        wide = opened.evaluate("document.documentElement.scrollWidth")
        title = opened.evaluate("document.fonts.check('16px Literata')")

    assert said == []
    assert [url for url in asked if not url.startswith("data:")] == [written.as_uri()]
    assert wide <= width
    assert title
    paper = PAPER if scheme == "light" else BY_NIGHT[PAPER]
    assert ground == f"rgb({', '.join(str(int(paper[at : at + 2], 16)) for at in (1, 3, 5))})"


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_only_ever_text(name):
    made = page_of(report_of(sites.planned(name=name, pit=name), made=blocks.MADE))
    shown = html.document_fromstring(made.encode())

    assert not shown.xpath("//script | //img")
    assert len(shown.xpath("//main/section")) > 1


def test_an_element_escapes_what_is_no_markup():
    made = element("p", "<b> & ", element("br"), class_='a "b"', title="")

    assert made == '<p class="a &quot;b&quot;">&lt;b&gt; &amp; <br></p>'
