"""The printed plan: what it holds, in which order, as HTML and on paper."""

import io
import re
import time
from datetime import date
from html.parser import HTMLParser

import pypdf
import pytest

from potash.plan_document import (
    Approval,
    Document,
    Paragraph,
    Section,
    Table,
    plan_document,
    planned,
    to_html,
    to_pdf,
)
from potash.preparation import Preparation
from potash.quenching import Quench
from potash.storage import Keeping

ORDER = [
    "cautions",
    "Readiness check",
    "The reaction",
    "Charge sheet",
    "Energy",
    "The liquid",
    "Doses",
    "Gas",
    "Quench",
    "Waste",
    "Storage",
    "Yield",
    "Sources",
    "Lab record",
    "Signatures",
]


@pytest.fixture(scope="module")
def plan():
    return planned(Preparation.default())


@pytest.fixture(scope="module")
def document(plan):
    return plan_document(plan)


@pytest.fixture(scope="module")
def pages(document):
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(to_pdf(document))).pages]


def text_of(document):
    return " ".join(re.sub(r"<[^>]+>", " ", to_html(document)).split())


def test_cautions_and_readiness_come_first_and_signatures_last(document):
    titles = [section.title for section in document.sections]
    assert len(titles) == len(ORDER)
    assert all(word in title for word, title in zip(ORDER, titles, strict=True))


def test_no_section_of_the_default_plan_lacks_its_data(document):
    for section in document.sections:
        assert section.blocks
        for block in section.blocks:
            assert not (isinstance(block, Paragraph) and block.text.startswith("Missing here"))


def test_both_renderings_hold_the_same_words(document, pages):
    paper = "".join("".join(pages).split())
    for section in document.sections:
        assert "".join(section.title.split()) in paper
        for block in section.blocks:
            if isinstance(block, Table):
                for row in block.rows:
                    assert "".join(row[0].split()) in paper


def test_every_page_says_that_nobody_has_approved_it(pages):
    assert len(pages) >= 5
    assert all(page.count("NOT APPROVED") >= 2 for page in pages)
    assert all(f"page {at} of {len(pages)}" in page for at, page in enumerate(pages, 1))


def test_a_signature_takes_the_words_away_and_is_printed_itself(plan):
    signed = plan_document(
        plan, approval=Approval("R. Voss", "licensed supervisor", date(2026, 3, 2))
    )
    page = pypdf.PdfReader(io.BytesIO(to_pdf(signed))).pages[0].extract_text()
    assert "NOT APPROVED" not in page and "NOT APPROVED" not in to_html(signed)
    assert "Signed by R. Voss, licensed supervisor, on 2026-03-02" in page
    assert "codes decide" in text_of(signed)


def test_the_page_brings_everything_with_it_and_runs_nothing(document):
    html = to_html(document)
    assert "<script" not in html and "http" not in html.replace("http-equiv", "")
    assert "default-src 'none'" in html


class Balanced(HTMLParser):
    VOID = {"meta", "br", "link", "hr", "img"}

    def __init__(self):
        super().__init__()
        self.open = []

    def handle_starttag(self, tag, attrs):
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_the_page_is_well_formed_and_every_table_has_a_caption_and_heads(document):
    html = to_html(document)
    parser = Balanced()
    parser.feed(html)
    assert parser.open == []
    assert html.count("<table>") == html.count("<caption>") == html.count("<thead>")


def test_what_a_student_typed_is_never_taken_for_markup():
    hostile = "<script>alert(1)</script> & <b>"
    document = Document(hostile, hostile, (Section(hostile, (Paragraph(hostile, strong=True),)),))
    assert "<script" not in to_html(document)
    page = pypdf.PdfReader(io.BytesIO(to_pdf(document))).pages[0].extract_text()
    assert "<script>alert(1)</script>" in page


def test_no_text_claims_that_something_is_safe_or_allowed(document):
    text = text_of(document).lower()
    for claim in ("is safe", "are safe", "safely", "is permitted", "is allowed", "no danger"):
        assert claim not in text


def test_a_planted_plan_prints_every_warning_with_its_reason():
    preparation = Preparation.default()
    unsafe = Quench.planned(metal="K", mass="20 g", piece="36 mm", alcohol="water", hood=None)
    plan = planned(preparation, quench=unsafe)
    assert {"no-hood", "water-quench", "large-piece", "much-metal"} <= {
        one.code for one in plan.cautions
    }
    text = text_of(plan_document(plan))
    for one in plan.cautions:
        assert one.title in text
        assert "".join(one.reason.split())[:40] in "".join(text.split())


def test_a_modest_plan_prints_no_quench_warning(plan):
    assert [one.code for one in plan.cautions] == ["superoxide-crust"]


def test_sodium_prints_no_superoxide_warning():
    assert planned(Preparation.default(), keeping=Keeping.planned(metal="Na")).cautions == ()


def test_equations_stand_with_their_atoms_below_the_line(document):
    assert "2 KOH + 2 Mg → 2 K + 2 MgO + H₂" in text_of(document)


def test_missing_data_are_said_in_their_place_and_the_rest_stands():
    rubidium = Preparation.default().replace(
        {
            "reagents.hydroxide.formula": "RbOH",
            "equation": "2 RbOH + 2 Mg -> 2 Rb + 2 MgO + H2",
        }
    )
    document = plan_document(planned(rubidium))
    energy = next(section for section in document.sections if section.title == "Energy")
    assert "Missing here" in energy.blocks[0].text
    assert document.sections[-1].title == "Signatures"


def test_a_substance_without_a_hazard_record_is_named_not_left_out():
    plan = planned(Preparation.default().replace({"liquid.name": "1,4-dioxane"}))
    assert "No hazard record is held of 1,4-dioxane" in text_of(plan_document(plan))


def test_the_paper_uses_no_colour(document):
    raw = b"".join(
        page.get_contents().get_data()
        for page in pypdf.PdfReader(io.BytesIO(to_pdf(document))).pages
    )
    for red, green, blue in re.findall(rb"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", raw):
        assert red == green == blue


def test_a_full_plan_is_on_paper_within_ten_seconds(plan):
    start = time.perf_counter()
    to_pdf(plan_document(plan))
    assert time.perf_counter() - start < 10
