"""Bars of shares: range, middle and figure of each."""

from halfwater.pictures.shares import Share, draw_shares, shares_sentence

SHARES = (Share("Growth <air>", 0.21, 0.42, 0.65), Share("Damp", 0.9, 0.9, 0.9))


def test_a_range_is_filled_from_its_low_to_its_high_end() -> None:
    """Of 320 wide, 21 to 65 % lies from 67.2 on over 140.8, its middle at 42 %."""
    drawn = draw_shares(SHARES)
    assert 'class="share-span" x="67.2" y="22" width="140.8"' in drawn
    assert 'class="share-middle" x="132.9"' in drawn


def test_a_known_share_is_filled_from_nothing() -> None:
    """No range: one bar up to the figure."""
    assert 'class="share-span" x="0.0" y="62" width="288.0"' in draw_shares(SHARES)


def test_the_sentence_says_what_the_bars_show() -> None:
    """Figures with ranges, for those who do not see them; names cannot break the drawing."""
    assert shares_sentence(SHARES) == "Growth <air>: 42 % (21 to 65 %); Damp: 90 %"
    assert "<air>" not in draw_shares(SHARES)


def test_the_ends_stay_within_the_bar() -> None:
    """Nothing and all are still seen."""
    drawn = draw_shares((Share("none", 0.0, 0.0, 0.0), Share("all", 1.0, 1.0, 1.0)))
    assert 'class="share-middle" x="0.0"' in drawn
    assert 'class="share-middle" x="317.0"' in drawn
