"""A lug with a shackle in it."""

FILL = 0.75  # 0027/ND Rev 11, 12.5.4: of the jaw's width that a lug is to fill
LEAST_PLAY_MM = 2.0  # 0027/ND Rev 11, 12.5.2
PLAY = 0.03  # 0027/ND Rev 11, 12.5.2: of the pin
MOST_PLAY_MM = 6.0  # 0027/ND Rev 11, 12.5.2


def play_least(pin_mm: float) -> float:
    """By how much a hole is to be wider than the pin in it, in mm. 0027/ND Rev 11, 12.5.2."""
    return max(LEAST_PLAY_MM, PLAY * pin_mm)


def play_most(pin_mm: float) -> float:
    """By how much a hole may be wider than the pin in it, in mm. 0027/ND Rev 11, 12.5.2.

    Of a pin so thick that the least play is more, that.
    """
    return max(MOST_PLAY_MM, play_least(pin_mm))
