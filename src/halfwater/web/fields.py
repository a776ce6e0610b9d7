"""Fields of a form: what was typed is kept, a refusal stands beside the field it is about."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from halfwater.errors import HalfwaterError, RefusedInput

ECHO_SIGNS = 60  # more of a refused text than this is not said back
_BARE = re.compile(r"[\d½¼¾⅛⅓⅔]\s*$")


@dataclass(frozen=True, slots=True)
class Field:
    """One field as it is shown."""

    name: str
    label: str
    value: str = ""
    unit: str = ""
    help: str = ""
    type: str = "text"  # text, area, select, choice, tick, date, datetime-local, file, password, hidden
    choices: tuple[tuple[str, str], ...] = ()
    refusal: str = ""
    is_optional: bool = False
    is_wide: bool = False
    inputmode: str = ""
    prefix: str = ""  # tells equal forms on one page apart
    bare: str = ""  # unit that a bare number is in, where it is not `unit` itself
    accepts: str = "image/*"  # what a file may be
    exact: str = ""  # the value in full, for a field that is left as it was shown

    def typed(self, text: str) -> str:
        """What was typed, with the unit beside the field where none was written."""
        if self.exact and text == self.value:
            return self.exact
        unit = self.bare or self.unit
        return f"{text} {unit}" if unit and _BARE.search(text) else text

    @property
    def id(self) -> str:
        """The id of the element: one on the page."""
        return f"{self.prefix}-{self.name}" if self.prefix else self.name

    @property
    def described_by(self) -> str:
        """The ids of the help and the refusal, for those who listen to the page."""
        ids = [f"{self.id}-help"] * bool(self.help) + [f"{self.id}-refusal"] * bool(self.refusal)
        return " ".join(ids)


@dataclass(frozen=True, slots=True)
class Form:
    """Fields in order, and a refusal that belongs to none of them."""

    fields: tuple[Field, ...]
    refusal: str = ""
    action: str = ""
    id: str = ""

    @property
    def is_refused(self) -> bool:
        """Does any refusal stand in the form?"""
        return bool(self.refusal) or any(one.refusal for one in self.fields)

    @property
    def refusal_count(self) -> int:
        """How many fields carry a refusal."""
        return sum(bool(one.refusal) for one in self.fields)

    def read(self, typed: Mapping[str, Any]) -> dict[str, str]:
        """The typed text of each field, with its unit where none was written."""
        for one in self.fields:
            _refuse_unwritable(one.name, str(typed.get(one.name, "")))
        return {one.name: one.typed(str(typed.get(one.name, "")).strip()) for one in self.fields}

    def pick(self, *names: str) -> tuple[Field, ...]:
        """Some of the fields, in the order asked for."""
        by_name = {one.name: one for one in self.fields}
        return tuple(by_name[name] for name in names)

    def with_typed(self, typed: Mapping[str, Any]) -> "Form":
        """The same form holding what was typed."""
        return replace(
            self,
            fields=tuple(
                one if one.type in ("file", "password") else replace(one, value=str(typed.get(one.name, "")))
                for one in self.fields
            ),
        )

    def with_refusal(self, error: HalfwaterError) -> "Form":
        """The same form with each refusal beside its field, or above the form if the field is not here."""
        refused = getattr(error, "refused", (error,))
        form = self
        for one in refused:
            form = form._with_one(one)
        return form

    def _with_one(self, error: HalfwaterError) -> "Form":
        name = getattr(error, "field", "")
        seen = {one.name for one in self.fields if one.type != "hidden"}
        if not isinstance(error, RefusedInput) or name not in seen:
            return replace(self, refusal=getattr(error, "sentence", str(error)))
        return replace(
            self,
            fields=tuple(
                replace(one, refusal=said(error)) if one.name == name else one for one in self.fields
            ),
        )


def said(refused: RefusedInput) -> str:
    """The refusal as it stands beside its field."""
    accepted = refused.accepted[:1].upper() + refused.accepted[1:]
    shown = str(refused.value).strip()
    if len(shown) > ECHO_SIGNS:
        shown = f"{shown[: ECHO_SIGNS - 1]}…"
    return f"“{shown}” cannot be used here. {accepted}." if shown else f"{accepted}."


def _refuse_unwritable(name: str, text: str) -> None:
    """Signs that cannot be written on paper have no place in the book either."""
    plain = "".join(sign for sign in text if sign in "\r\n\t" or unicodedata.category(sign) != "Cc")
    if plain != text:
        raise RefusedInput(name, plain, "letters, figures and signs only")
