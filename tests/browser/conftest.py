"""A real browser: Debian's chromium, driven by playwright, and axe-core in the page.

Without them the tests skip and say so; where BREAKPLAN_BROWSER=needed, as in CI, they fail.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Error, Page, sync_playwright
from pypdf import PdfReader

from planner.solve.plan import Plan
from tests.planning import shipped_plan

ROOT = Path(__file__).parent.parent.parent

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def skip(why: str) -> None:
    if os.environ.get("BREAKPLAN_BROWSER") == "needed":
        pytest.fail(why)
    pytest.skip(why)


@pytest.fixture(scope="module")  # while it is open no other event loop can be run in the process
def browser() -> Iterator[Browser]:
    path = shutil.which("chromium")
    if path is None:
        skip("no chromium: install Debian's package chromium to run the browser tests")
    with sync_playwright() as playwright:
        try:
            started = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        except Error as error:
            skip(f"chromium does not start: {error}")
        yield started
        started.close()


@pytest.fixture(scope="session")
def axe(tmp_path_factory) -> str:
    """The text of axe-core: that which CI installed, else from the npm registry."""
    known = os.environ.get("BREAKPLAN_AXE")
    if known:
        return Path(known).read_text(encoding="utf-8")
    if shutil.which("npm") is None:
        skip("no npm: it is needed to get axe-core")
    folder = tmp_path_factory.mktemp("axe")
    got = subprocess.run(
        ["npm", "install", "--silent", "--prefix", str(folder), "axe-core@4"],
        capture_output=True,
        text=True,
        timeout=120,
    )
    if got.returncode:
        skip(f"npm cannot install axe-core: {got.stderr.strip()[:200]}")
    return (folder / "node_modules/axe-core/axe.min.js").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def corner_shop() -> Plan:
    return shipped_plan("corner-shop")


@pytest.fixture(scope="session")
def holiday() -> Plan:
    return shipped_plan("holiday")


@dataclass
class Opened:
    """A page opened from disk with the network off, and what it said and asked for."""

    page: Page
    file: Path
    said: list[str]
    asked: list[str]

    def pdf(self, size: str) -> list[str]:
        """What is on each sheet when it is printed on A4 or Letter."""
        printed = self.file.with_suffix(f".{size}.pdf")
        self.page.pdf(path=printed, format=size)
        return [sheet.extract_text() for sheet in PdfReader(printed).pages]

    def loud(self, axe: str) -> list[str]:
        """What axe-core finds serious or worse."""
        self.page.evaluate(axe)
        found = self.page.evaluate("axe.run(document)")
        assert found["passes"]  # it has looked
        return [
            f"{each['id']}: {node['html'][:200]}"
            for each in found["violations"]
            if each["impact"] in ("serious", "critical")
            for node in each["nodes"]
        ]


@pytest.fixture
def opened(browser, tmp_path) -> Iterator[Callable[..., Opened]]:
    """Open a page: `opened(html, width=375, dark=True)`."""
    contexts = []

    def open_page(html: str, width: int = 1100, height: int = 900, **more: Any) -> Opened:
        file = tmp_path / f"page-{len(contexts)}.html"
        file.write_text(html, encoding="utf-8")
        scheme = "dark" if more.pop("dark", False) else "light"
        context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme=scheme, offline=True, **more
        )
        contexts.append(context)
        page = context.new_page()
        found = Opened(page, file, [], [])
        page.on("console", lambda message: found.said.append(message.text))
        page.on("pageerror", lambda error: found.said.append(str(error)))
        page.on("dialog", lambda dialog: (found.said.append(dialog.message), dialog.dismiss()))
        page.on("request", lambda request: found.asked.append(request.url))
        page.goto(file.as_uri())
        return found

    yield open_page
    for context in contexts:
        context.close()
