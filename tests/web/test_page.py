"""The page in a real browser, used as a person would."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from chromium import AXE, SHOTS, in_a_browser, sync
from command_line import HOME, write_home
from open_page import Opened

from suncover.site.file.sitefile import load_site
from suncover.web.serve import serve_site

pytestmark = in_a_browser
TEXT = HOME.replace("sill = 0.90", "sill = 0.90  # by tape", 1)


@pytest.fixture
def opened(browser: Any, tmp_path: Path) -> Iterator[tuple[Opened, Path]]:
    path = write_home(tmp_path, TEXT)
    with serve_site(path, 0, date(2027, 6, 21)) as address:
        one = Opened(browser, address)
        one.says("as in the file")
        yield one, path
        one.context.close()
        assert one.asked == {urlsplit(address).netloc}  # nobody else


def test_a_value_changed_its_fault_mended_and_saved(opened: tuple[Opened, Path]) -> None:
    one, path = opened
    one.field("window", 0, "sill").fill("-1")
    sync.expect(one.fault("window", 0, "sill")).to_contain_text("-1")
    one.says("1 to mend before it can be saved")
    sync.expect(one.page.locator("#faults button")).to_contain_text('window "kitchen": sill')
    one.page.keyboard.press("Control+s")  # refused, and told so
    one.says("the site has faults")
    assert path.read_text("utf-8") == TEXT
    one.field("window", 0, "sill").fill("35 in")
    sync.expect(one.fault("window", 0, "sill")).to_have_text("")
    one.says("changed, not saved yet")
    one.page.locator("#save").click()
    one.says("saved")
    assert 'sill = "35 in"  # by tape' in path.read_text("utf-8")
    one.page.keyboard.press("Control+z")
    sync.expect(one.page.locator("#text")).to_have_value(TEXT)
    one.page.locator("#redo").click()
    sync.expect(one.field("window", 0, "sill")).to_have_value("35 in")
    assert [text for text in one.logged if "422" not in text] == []


def test_a_conflict_is_shown_side_by_side_and_settled(opened: tuple[Opened, Path]) -> None:
    one, path = opened
    one.field("window", 0, "reveal").fill("0.1")
    one.says("changed, not saved yet")
    theirs = TEXT + "# theirs\n"
    path.write_text(theirs, encoding="utf-8")
    one.page.locator("#save").click()
    sync.expect(one.page.locator("#conflict-disk")).to_have_value(theirs)
    assert path.read_text("utf-8") == theirs
    own = one.page.locator("#conflict-own")
    own.fill(own.input_value() + "# theirs\n")
    one.page.locator("#take-own").click()
    one.says("changed, not saved yet")
    one.page.locator("#save").click()
    one.says("saved")
    assert path.read_text("utf-8").endswith("# theirs\n")
    assert load_site(path).windows[0].reveal == 0.1


def test_an_overhang_by_its_slider_changes_the_day(opened: tuple[Opened, Path]) -> None:
    one, path = opened
    page = one.page
    page.get_by_role("radio", name="study").check()
    first = page.locator("#figures tbody tr").first.locator("td")
    sync.expect(first.nth(0)).to_contain_text("h")
    before = page.locator("#strip svg rect").count()
    page.locator("#depth").focus()
    for _ in range(8):
        page.keyboard.press("ArrowRight")
    sync.expect(first.nth(1)).to_contain_text("h")
    hours = page.locator("#figures tbody tr").nth(1).locator("td")
    sync.expect(hours.nth(1)).not_to_have_text("–")
    assert float(hours.nth(1).text_content()) < float(hours.nth(0).text_content())
    assert page.locator("#strip svg rect").count() > before
    year = page.locator("#carpet canvas").bounding_box()
    november = page.locator("#carpet .months span").nth(10).bounding_box()
    third_of_a_week = year["width"] * 2.5 / 365
    assert november["x"] == pytest.approx(
        year["x"] + year["width"] * 304 / 365, abs=third_of_a_week
    )
    edge = page.locator("#side [data-part=edge]").bounding_box()
    page.mouse.move(edge["x"] + 5, edge["y"] + 5)
    page.mouse.down()
    page.mouse.move(edge["x"] + 60, edge["y"] + 5, steps=4)
    page.mouse.up()
    depth = float(page.locator("#depth").input_value())
    assert depth > 0.9
    page.locator("#adopt").click()
    one.says("changed, not saved yet")
    page.locator("#save").click()
    one.says("saved")
    roof = load_site(path).windows[1].overhang
    assert roof is not None
    assert roof.depth == pytest.approx(depth, abs=0.0254 / 2)  # the file is in feet: to the inch
    assert one.logged == []


def test_a_new_home_by_question_and_answer(browser: Any, tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    given = {
        "Where is it": "38.72 N, 9.14 W",
        "face": "S",
        "ide": "1.2",
        "igh": "1.4",
    }
    with serve_site(path, 0, date(2027, 6, 21)) as address:
        one = Opened(browser, address)
        answer = one.page.locator("#ask-answer")
        one.says("a new file: nothing is written before you save")
        one.page.locator("#to-ask").click()
        for _ in range(40):
            sync.expect(one.page.locator("#ask-text")).not_to_be_empty()
            question = one.page.locator("#ask-text").text_content()
            said = ""
            if "[" not in question:
                said = next((v for k, v in given.items() if k in question), "1")
            answer.fill(said)
            with one.page.expect_response(lambda response: "api/ask" in response.url) as asked:
                answer.press("Enter")
            if "text" in asked.value.json():
                break
            sync.expect(one.page.locator("#ask-text")).to_contain_text(
                asked.value.json()["question"]["text"]
            )
            assert one.page.locator("#ask-fault").text_content() == "", question
        one.says("changed, not saved yet")
        assert not path.exists()
        one.page.locator("#save").click()
        one.says("saved")
        assert load_site(path).place.latitude == 38.72
        sync.expect(one.page.locator("#house svg")).to_be_visible()
        assert one.logged == []
        one.context.close()


@pytest.mark.parametrize(
    ("wide", "scheme"), [(320, "light"), (1440, "dark")], ids=["phone, light", "desk, dark"]
)
@pytest.mark.parametrize("there", [True, False], ids=["a home", "a new file"])
def test_it_fits_the_screen_and_everybody(
    browser: Any, tmp_path: Path, wide: int, scheme: str, there: bool
) -> None:
    """WCAG 2.2: no scrolling both ways at 320 CSS pixels (1.4.10), and what axe-core finds."""
    path = write_home(tmp_path, TEXT) if there else tmp_path / "new.toml"
    with serve_site(path, 0, date(2027, 6, 21)) as address:
        size = {"width": wide, "height": 900}
        one = Opened(browser, address, viewport=size, color_scheme=scheme, reduced_motion="reduce")
        if there:
            one.says("as in the file")
            sync.expect(one.page.locator("#strip svg")).to_be_visible()
            one.page.locator("#add-shade").wait_for(state="attached")
        else:
            one.says("a new file: nothing is written before you save")
        if SHOTS:
            one.page.screenshot(path=f"{SHOTS}/open-{there}-{wide}.png", full_page=True)
        opened = "document.querySelectorAll('details').forEach((one) => (one.open = true))"
        one.page.evaluate(opened)
        assert one.page.evaluate("document.documentElement.scrollWidth") <= wide
        nameless = one.page.evaluate(
            "[...document.querySelectorAll('input, textarea, select')]"
            ".filter((field) => !field.labels.length).map((field) => field.id)"
        )
        assert nameless == []
        assert one.logged == []
        if AXE.exists():
            # The page's own policy keeps scripts of others out; the developer tools may run them.
            one.page.evaluate(AXE.read_text(encoding="utf-8"))
            result = one.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
            faults = [
                f"{found['impact']}: {found['id']}: {found['nodes'][0]['html'][:120]}"
                for found in result["violations"]
            ]
            assert faults == []
            assert len(result["passes"]) > 15
        one.context.close()


def test_a_field_emptied_on_the_way_to_another_value_leaves_no_trace(
    opened: tuple[Opened, Path],
) -> None:
    one, _ = opened
    sill = one.field("window", 0, "sill")
    sill.fill("")
    sill.press_sequentially("1.1")
    text = one.page.locator("#text")
    sync.expect(text).to_have_value(TEXT.replace("0.90  # by", "1.1  # by"))
    sill.fill("")
    sill.press("Tab")
    sync.expect(text).to_have_value(TEXT.replace("sill = 0.90  # by", "# sill = 1.1  # by"))


def test_a_file_with_faults_can_be_mended_here(browser: Any, tmp_path: Path) -> None:
    path = write_home(tmp_path, TEXT.replace("azimuth = 95", "azimuth = 950"))
    with serve_site(path, 0, date(2027, 6, 21)) as address:
        one = Opened(browser, address)
        one.says("1 to mend before it can be saved")
        sync.expect(one.page.locator("#faults button")).to_contain_text('window "kitchen": azimuth')
        one.page.locator("#faults button").click()
        assert one.page.evaluate("getSelection().toString()") == "azimuth = 950"
        one.page.keyboard.type("azimuth = 95")
        one.says("changed, not saved yet")
        sync.expect(one.page.locator("#house svg")).to_be_visible()
        one.page.locator("#save").click()
        one.says("saved")
        assert path.read_text("utf-8") == TEXT
        assert one.logged == []
        one.context.close()


@pytest.mark.parametrize(
    ("old", "slip", "word"),
    [
        ("sill = 0.90  # by", "sil = 0.90  # by", "sill"),
        ('windows = ["kitchen"', 'windows = ["kitchn"', "kitchen"),
        ("[[window]]", "[[windw]]", "window"),
    ],
)
def test_a_slip_is_mended_by_the_word_that_was_meant(
    browser: Any, tmp_path: Path, old: str, slip: str, word: str
) -> None:
    assert old in TEXT
    path = write_home(tmp_path, TEXT.replace(old, slip, 1))
    with serve_site(path, 0, date(2027, 6, 21)) as address:
        one = Opened(browser, address)
        one.page.get_by_role("button", name=f"Put {word}", exact=True).click()
        sync.expect(one.page.locator("#text")).to_have_value(TEXT)
        one.says("changed, not saved yet")
        one.page.keyboard.press("Control+z")
        sync.expect(one.page.locator("#text")).to_have_value(TEXT.replace(old, slip, 1))
        assert one.logged == []
        one.context.close()
