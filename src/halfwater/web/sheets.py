"""A page that is a form: one or more sheets, each answered on its own."""

from dataclasses import dataclass, field

from halfwater.web.fields import Field, Form


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together on a sheet."""

    title: str
    fields: tuple[Field, ...]
    columns: str = "two"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One form on a page."""

    form: Form
    does: str  # what the button does
    title: str = ""
    intro: str = ""
    groups: tuple[Group, ...] = ()
    is_big: bool = False
    is_danger: bool = False


@dataclass(frozen=True, slots=True)
class FormPage:
    """A page of sheets."""

    title: str
    sheets: tuple[Sheet, ...]
    intro: str = ""
    back: str = ""
    back_url: str = ""
    cautions: tuple[str, ...] = field(default=())


def grouped(form: Form, *groups: tuple[str, tuple[str, ...]]) -> tuple[Group, ...]:
    """The form's fields in titled groups."""
    return tuple(Group(title, form.pick(*names)) for title, names in groups)
