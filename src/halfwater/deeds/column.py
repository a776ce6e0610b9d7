"""A column of an import file, and a file as a row of columns."""

from dataclasses import dataclass

from halfwater.deeds.cells import CellKind


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in the header, the field it fills, and what it means."""

    name: str
    field: str
    kind: CellKind
    meaning: str
    needed: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """One kind of file, told from the others by the columns in `mark`."""

    name: str  # the noun of its rows, and with .csv the name it is exported under
    mark: frozenset[str]
    columns: tuple[Column, ...]

    def column_of(self, field: str) -> str:
        """The column that fills a field."""
        return next((column.name for column in self.columns if column.field == field), field)
