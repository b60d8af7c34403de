"""Styles that were found once are known.

Textual 8.2 goes through all rules of all style sheets for every widget it styles, and for each of
the widget's parts, and does so again whenever a class or the focus changes: a third of the time
that opening a screen takes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.app import App
from textual.css.model import SelectorType
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode
from textual.widget import Widget

if TYPE_CHECKING:
    from textual.css.model import RuleSet
    from textual.css.styles import RulesMap

_MOST = 2000
"""So many findings are kept; a long sitting comes to some hundreds."""
_FOCUS = frozenset({"focus", "blur"})


@dataclass(frozen=True)
class NearRules:
    """The rules that may be about one kind of node, and all that they ask for.

    Args:
        rules: in their order.
        ids: of the node, or of what it lies in.
        classes: in the same way.
        states: hovered over, focused and the like.
    """

    rules: list[RuleSet]
    ids: frozenset[str]
    classes: frozenset[str]
    states: frozenset[str]

    @classmethod
    def among(cls, rules: list[RuleSet], names: frozenset[str]) -> NearRules:
        """Those that end in one of some names.

        Args:
            rules: all there are.
            names: of the node: its type, its class, its own one, as rules write them.
        """
        near = [rule for rule in rules if not names.isdisjoint(rule.selector_names)]
        asked = [one for rule in near for many in rule.selector_set for one in many.selectors]
        return cls(
            near,
            frozenset(one.name for one in asked if one.type is SelectorType.ID),
            # A star is not for what has this class.
            frozenset(one.name for one in asked if one.type is SelectorType.CLASS)
            | {"-textual-system"},
            frozenset(state for one in asked for state in one.pseudo_classes),
        )

    def place(self, node: object) -> tuple[object, ...]:
        """All that these rules can ask of a node, but for its place among others."""
        told: list[object] = []
        hover, focus = "hover" in self.states, not self.states.isdisjoint(_FOCUS)
        while isinstance(node, DOMNode):
            told += (
                type(node),
                node._id if node._id in self.ids else None,
                self.classes & node._classes,
            )
            if isinstance(node, Widget):
                told += (node.disabled, node.allow_focus())
                told += (hover and node.mouse_hover, focus and node.has_focus)
            elif isinstance(node, App):
                told += (node.app_focus, node.native_ansi_color)
            node = node._parent
        return tuple(told)


class KnownStyles(Stylesheet):
    """A style sheet that remembers what it found, for as long as its rules are the same.

    Where rules ask for a widget's place among others, it is found anew each time, as in Textual.
    """

    def __init__(self, *, variables: dict[str, str] | None = None) -> None:
        super().__init__(variables=variables)
        self._all: list[RuleSet] | None = None  # the rules that what follows was found among
        self._near: dict[frozenset[str], NearRules] = {}
        self._found: dict[tuple[object, ...], RulesMap] = {}
        self._only: list[RuleSet] | None = None

    @property
    def rules(self) -> list[RuleSet]:
        """All rules; while a node is being styled, those alone that may be about it."""
        return super().rules if self._only is None else self._only

    def apply(
        self, node: DOMNode, *, animate: bool = False, cache: dict[Any, RulesMap] | None = None
    ) -> None:
        """Style a node.

        Args:
            node: what is styled.
            animate: whether changes slide.
            cache: findings of the same turn; those of all turns stand in their place.
        """
        outer, self._only = self._only, None
        try:
            if self._all is not self.rules or len(self._found) > _MOST:
                self._all = self.rules
                self._near.clear()
                self._found.clear()
            names = frozenset(self.rules_map.keys() & node._selector_names)
            if names not in self._near:
                self._near[names] = NearRules.among(self._all, names)
            near = self._near[names]
            self._only = near.rules
            finding = _Finding(self._found, (names, *near.place(node)))
            super().apply(node, animate=animate, cache=finding)
        finally:
            self._only = outer

    def _process_component_classes(self, node: DOMNode) -> None:
        self._only = None  # a part of a widget goes by other rules
        super()._process_component_classes(node)

    @classmethod
    def replace_rules(cls, node: DOMNode, rules: RulesMap, animate: bool = False) -> None:
        """Give a node its rules, one by one where they are others than before.

        Args:
            node: what is styled.
            rules: all of its rules.
            animate: whether changes slide.
        """
        if node.styles.base._rules == rules:
            node.notify_style_update()
        else:
            super().replace_rules(node, rules, animate)


class _Finding(dict[Any, "RulesMap"]):
    """What was found for one node, whatever key Textual asks by.

    Args:
        found: all findings.
        key: of this one among them.
    """

    def __init__(self, found: dict[tuple[object, ...], RulesMap], key: tuple[object, ...]) -> None:
        super().__init__()
        self._found, self._key = found, key

    def get(self, key: Any, default: Any = None) -> Any:
        return self._found.get(self._key, default)

    def __setitem__(self, key: Any, rules: RulesMap) -> None:
        self._found[self._key] = rules
