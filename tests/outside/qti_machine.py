"""Response processing of QTI 2.1, carried out: what a course system makes of an answer.

Written for these tests from the specification (Information Model 2.1, sections 8 and 15): a
relative tolerance is a percentage of the *first* expression, its bounds belong to it, and a
comparison with nothing is not true.
"""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

QTI = "{http://www.imsglobal.org/xsd/imsqti_v2p1}"
Value = str | int | float | bool | None
READ = {"float": float, "integer": int, "identifier": str, "string": str}


class MisuseError(Exception):
    """The item says something that the specification does not allow."""


@dataclass
class Session:
    """One candidate at one item."""

    item: etree._Element

    def __post_init__(self) -> None:
        self.types: dict[str, str] = {}
        self.values: dict[str, Value] = {}
        for declared in (
            *self.item.findall(f"{QTI}responseDeclaration"),
            *self.item.findall(f"{QTI}outcomeDeclaration"),
        ):
            name = declared.get("identifier", "")
            if name in self.types:
                raise MisuseError(f"{name} is declared twice")
            self.types[name] = declared.get("baseType", "")
            default = declared.find(f"{QTI}defaultValue/{QTI}value")
            self.values[name] = None if default is None else self.read(name, default.text)

    def read(self, name: str, text: str | None) -> Value:
        return READ[self.types[name]](text or "")

    @property
    def correct(self) -> Value:
        value = self.item.find(f"{QTI}responseDeclaration/{QTI}correctResponse/{QTI}value")
        return None if value is None else self.read("RESPONSE", value.text)

    def answer(self, response: Value) -> tuple[float, str | None]:
        """The score, and the feedback that is shown."""
        self.values["RESPONSE"] = response
        processing = self.item.find(f"{QTI}responseProcessing")
        for rule in [] if processing is None else processing:
            self.run(rule)
        score, feedback = self.values["SCORE"], self.values.get("FEEDBACK")
        assert isinstance(score, float)
        shown = {m.get("identifier") for m in self.item.findall(f"{QTI}modalFeedback")}
        if feedback is not None and feedback not in shown:
            raise MisuseError(f"nothing is shown for {feedback}")
        return score, None if feedback is None else str(feedback)

    def run(self, rule: etree._Element) -> None:
        match etree.QName(rule).localname:
            case "setOutcomeValue":
                name = rule.get("identifier", "")
                found, kind = self.value(rule[0])
                if kind != self.types[name]:
                    raise MisuseError(f"{name} is {self.types[name]}, not {kind}")
                self.values[name] = found
            case "responseCondition":
                for branch in rule:
                    rules = list(branch)
                    if etree.QName(branch).localname != "responseElse":
                        met, kind = self.value(rules.pop(0))
                        if kind != "boolean":
                            raise MisuseError("a condition has to be a truth value")
                        if met is not True:
                            continue
                    for inner in rules:
                        self.run(inner)
                    return
            case other:
                raise MisuseError(other)

    def value(self, one: etree._Element) -> tuple[Value, str]:
        """What an expression comes to, and its base type."""
        name = one.get("identifier", "")
        match etree.QName(one).localname:
            case "variable":
                return self.values[name], self.types[name]
            case "correct":
                return self.correct, self.types[name]
            case "baseValue":
                kind = one.get("baseType", "")
                return READ[kind](one.text or ""), kind
            case "isNull":
                return self.value(one[0])[0] is None, "boolean"
            case "or":
                found = [self.value(inner)[0] for inner in one]
                return (True if True in found else None if None in found else False), "boolean"
            case "match":
                return self.matched(one), "boolean"
            case "equal":
                return self.equal(one), "boolean"
            case other:
                raise MisuseError(other)

    def matched(self, one: etree._Element) -> bool | None:
        (first, kind), (second, other) = map(self.value, one)
        if kind != other or kind == "float":
            raise MisuseError("match takes two values of one base type, and no floats")
        return None if first is None or second is None else first == second

    def equal(self, one: etree._Element) -> bool | None:
        (first, kind), (second, other) = map(self.value, one)
        if {kind, other} - {"integer", "float"}:
            raise MisuseError("equal compares numbers")
        if first is None or second is None:
            return None
        x, y = float(first), float(second)
        if one.get("toleranceMode") == "exact":
            return x == y
        below, *above = map(float, (one.get("tolerance") or "").split())
        over = above[0] if above else below
        if one.get("toleranceMode") == "absolute":
            return x - below <= y <= x + over
        assert one.get("toleranceMode") == "relative"
        low, high = sorted((x * (1 - below / 100), x * (1 + over / 100)))
        return low <= y <= high
