"""Salts, waters, targets and readings: out as files and back into an empty book."""

from dataclasses import replace
from pathlib import Path

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.exports import export_files
from halfwater.deeds.imports import RefusedTable, import_files
from tests.deeds.nurseries import NOW, WHO, a_nursery, a_tank, noted
from tests.deeds.table_files import scratch

pytestmark = pytest.mark.django_db


def _files(folder: Path, **texts: str) -> list[Path]:
    files = []
    for name, text in texts.items():
        file = folder / f"{name}.csv"
        file.write_text(text, encoding="utf-8")
        files.append(file)
    return files


def test_a_salt_comes_in_by_its_formula(tmp_path: Path) -> None:
    """Its label follows from formula and purity: Epsom salt is 9.86 % magnesium, 98 % of that here."""
    a_nursery()
    text = (
        "name,form,p2o5,k2o,formula,purity,pack_price,pack_mass\n"
        "Epsom salt,dry,,,MgSO4·7H2O,98 %,4.50,1 kg\nSaltpetre,dry,,,KNO3,,,\n"
    )
    import_files(_files(tmp_path, feeds=text), False, WHO, NOW)
    epsom, saltpetre = queries.feeds()
    assert epsom.other_frac["Mg"] == pytest.approx(0.98 * 24.305 / 246.47, rel=1e-3)
    assert (epsom.pack_minor, epsom.pack_g) == (450, 1000.0)
    assert saltpetre.n_nitrate_frac == pytest.approx(14.007 / 101.102, rel=1e-3)
    assert saltpetre.k2o_frac == pytest.approx(0.4658, abs=5e-4)


def test_a_formula_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    """The cell is named, and nothing is written."""
    a_nursery()
    text = "name,form,p2o5,k2o,formula\nMystery,dry,,,Xy7Q\n"
    with pytest.raises(RefusedTable, match=r"feeds\.csv row 2, column formula"):
        import_files(_files(tmp_path, feeds=text), False, WHO, NOW)
    assert queries.feeds() == ()


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("waters", "water,alkalinity,ec\nTap,-5,0.4\n", "column alkalinity"),
        ("targets", "target,strengths\nMild,lots of N\n", "column strengths"),
        ("entries", "at,tank,kind,value,second\n2026-11-19,,meter,1.38,\n", "1.38 of 1.413"),
    ],
)
def test_bad_cells_are_named(tmp_path: Path, name: str, text: str, said: str) -> None:
    """Negative alkalinity, strengths that are none, a check without its standard."""
    a_nursery()
    with pytest.raises(RefusedTable, match=said):
        import_files(_files(tmp_path, **{name: text}), False, WHO, NOW)


def test_out_and_back_again(tmp_path: Path) -> None:
    """An export brought into an empty book gives the same salts, waters, targets and readings."""
    with scratch():
        a_nursery()
        a_tank()
        changes.save_water(who=WHO, name="Tap", ec_ms_cm=0.45, alkalinity_mg_l=120.0, ph=7.6, is_ours=True)
        changes.save_water(who=WHO, name="Rain", is_pure=True)
        changes.save_target(
            who=WHO, name="Mild", wanted=[["N-NO3", 30.5, 1.0], ["K", 25.0, 2.0]], note="weekly"
        )
        head = "name,form,p2o5,k2o,formula,pack_price,pack_volume,density"
        text = f"{head}\nNitric acid,liquid,,,HNO3,9.00,500,1.35\n"
        import_files(_files(tmp_path, feeds=text), False, WHO, NOW)
        noted("light", value="62 at B4, dimmer 80 %, stray 5")
        noted("ph", value="6.4")
        noted("meter", "", "1.38 of 1.413, at 22 C")
        before = _all()
        files = export_files(tmp_path / "out")
    import_files(files, False, WHO, NOW)
    assert _all() == before


def _all() -> tuple[object, ...]:
    feeds = tuple(replace(feed, key=0) for feed in queries.feeds())
    waters = tuple((kept.water, kept.is_ours) for kept in queries.waters())
    targets = tuple(kept.target for kept in queries.own_targets())
    entries = tuple(
        (entry.kind, entry.value, entry.second, entry.third, entry.word, entry.spot, entry.tank_name)
        for entry in sorted(queries.entries(), key=lambda entry: entry.uuid)
    )
    return feeds, waters, targets, entries
