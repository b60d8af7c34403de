"""Style sheets name widgets that exist: one renamed without its rules would lose its looks."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import rungwise.tutor.screens
from rungwise.tutor.screens.themes import DUSK
from textual.css.model import SelectorType
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode


def _kinds(kind: type[DOMNode] = DOMNode) -> Iterator[type[DOMNode]]:
    yield kind
    for narrower in kind.__subclasses__():
        yield from _kinds(narrower)


def _sheets() -> dict[str, str]:
    """Every text of rules, by where it stands."""
    for module in pkgutil.walk_packages(rungwise.tutor.screens.__path__, "rungwise.tutor.screens."):
        importlib.import_module(module.name)
    root = Path(rungwise.tutor.screens.__path__[0])
    found = {str(path.relative_to(root)): path.read_text() for path in root.rglob("*.tcss")}
    for kind in _kinds():
        if kind.__module__.startswith("rungwise."):
            for name in ("CSS", "DEFAULT_CSS"):
                if text := vars(kind).get(name):
                    found[f"{kind.__module__}.{kind.__name__}.{name}"] = text
    return found


SHEETS = _sheets()


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_widget_that_is_styled_exists(sheet: str) -> None:
    known = {kind._css_type_name for kind in _kinds()}
    known |= {name for kind in _kinds() for name in kind._css_type_names}
    variables = DUSK.to_color_system().generate() | DUSK.variables
    styles = Stylesheet(variables=variables)
    styles.add_source(SHEETS[sheet])
    styles.parse()
    assert styles.rules
    named = {
        selector.name
        for rule in styles.rules
        for chain in rule.selector_set
        for selector in chain.selectors
        if selector.type is SelectorType.TYPE
    }
    assert named <= known
