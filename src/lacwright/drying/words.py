"""Words about a drying coat that every face tells alike."""

from __future__ import annotations

AFTER_HAZE = (
    "Wait, and warm room and board or dry the air first, before alcohol is opened and with no "
    "flame, glowing heater, hot-air gun or lamp; then a damp pad or a mist of slow alcohol, never "
    "a wet brush in that air."
)
"""What to do where a coat whitens."""
