"""A book made with the first tables opens with the newest, and what it held can be told pot by pot."""

import json
from pathlib import Path

from tests.book.programs import run_code

# What the first program wrote: a batch on three spots of which one is lost and one sold, and an old batch.
FIRST_TABLES = """
from halfwater import config; config.boot()
from datetime import UTC, date, datetime
from uuid import UUID
from django.core.management import call_command
from django.db import connection
call_command('migrate', 'book', '0001', verbosity=0)
call_command('migrate', 'auth', verbosity=0)
from django.db.migrations.executor import MigrationExecutor
state = MigrationExecutor(connection).loader.project_state([('book', '0001_first_tables')]).apps
def make(model, **fields): return state.get_model('book', model).objects.create(**fields)
north = make('Tank', name='North', length_mm=900, width_mm=450, height_mm=400, clay_fill_frac=.6,
             clay_porosity_frac=.4, margin_mm=6, set_up_on=date(2026, 1, 1))
spots = [make('Spot', tank=north, name=f'A{n}', place=n) for n in (3, 2, 1)]
taxon = make('Taxon', name='Fern')
old = make('Batch', name='Old', taxon=taxon, potted_on=date(2026, 1, 1))
new = make('Batch', name='New', taxon=taxon, potted_on=date(2026, 5, 1), parent_note='from the old one')
def pot(batch, spot, state, leaves, gone=False):
    row = make('StandingPot', batch=batch, spot=None if gone else spot, state=state, leaves=leaves)
    for n, (where, word) in enumerate([(spot, 'growing'), (None, state)][: 2 if gone else 1]):
        make('HistoricalStandingPot', id=row.pk, batch_id=batch.pk, spot_id=where and where.pk, state=word,
             leaves=leaves, history_type='+~'[n], history_date=datetime(2026, 6 + n, 2, 12, tzinfo=UTC))
pot(old, spots[2], 'sold', 9, gone=True)
pot(new, spots[0], 'growing', 5)
pot(new, spots[1], 'lost', None, gone=True)
pot(new, spots[2], 'ready', 8)
def entry(n, kind, day, spot, value, word='', batch=None):
    make('Entry', uuid=UUID(int=n), kind=kind, at=datetime(*day, 20, tzinfo=UTC), day=date(*day), tank=north,
         value=value, spot=spot, word=word, batch=batch, noted_at=datetime(*day, 21, tzinfo=UTC))
entry(1, 'leaves', (2026, 3, 1), 'A1', 7)
entry(2, 'leaves', (2026, 7, 1), 'A1', 8)
entry(3, 'leaves', (2026, 7, 1), 'a3', 5, batch=new)
entry(4, 'loss', (2026, 6, 20), 'A2', 1, word='rot', batch=new)
entry(5, 'leaves', (2025, 7, 1), 'A3', 4)
entry(6, 'loss', (2026, 6, 20), '', 2, word='melt', batch=new)
entry(7, 'spray', (2026, 6, 20), '', .15)
"""
ASKED = """
from halfwater import config; config.open_book()
import json
from uuid import UUID
from halfwater.book import queries, changes
pots = {pot.key: pot for pot in queries.standing_pots(gone=True)}
told = lambda n: pots[queries.entry(UUID(int=n)).pot].name if queries.entry(UUID(int=n)).pot else None
print(json.dumps({
    'pots': sorted([p.name, p.spot, p.state, p.leaves, str(p.counted_on), str(p.left_on), p.cause]
                   for p in pots.values()),
    'told': [told(n) for n in range(1, 8)],
    'stays': sorted([pots[s.pot].name, s.spot, str(s.from_on), str(s.to_on)] for s in queries.stays()),
    'past': sorted(row.values['number'] for row in queries.history('standing pot')),
    'batches': [[b.name, b.parent_note, b.blade, len(b.parents)] for b in queries.batches()],
    'habit': queries.cutting_habit().release_every_weeks,
}))
"""


def test_a_book_of_the_first_tables_keeps_all_and_tells_its_pots(tmp_path: Path) -> None:
    """Pots are numbered in walking order, entries find their pot, and the days of losses are known."""
    run_code(tmp_path, FIRST_TABLES)
    for _ in range(2):
        told = json.loads(run_code(tmp_path, ASKED))
        assert told["pots"] == [
            ["New 1", "A1", "ready", 8, "2026-07-01", "None", ""],
            ["New 2", "A3", "growing", 5, "2026-07-01", "None", ""],
            ["New 3", "", "lost", None, "None", "2026-06-20", "rot"],
            ["Old 1", "", "sold", 9, "None", "2026-07-02", ""],
        ]
        assert told["told"] == ["Old 1", "New 1", "New 2", "New 3", None, None, None]
        assert told["stays"] == [
            ["New 1", "A1", "2026-05-01", "None"],
            ["New 2", "A3", "2026-05-01", "None"],
            ["New 3", "A2", "2026-05-01", "2026-06-20"],
            ["Old 1", "A1", "2026-01-01", "2026-07-02"],
        ]
        assert told["past"] == [1, 1, 1, 2, 3, 3]
        assert told["batches"] == [["New", "from the old one", "", 0], ["Old", "", "", 0]]
        assert told["habit"] == 4
    assert len(list((tmp_path / "backups").iterdir())) == 1
