"""Areas by zone: faces, side-grain edges, end grain of panels, boxes, turnings, instruments.

Shape functions take millimetres (numbers or draws) and return the zones of one piece;
`make_part` gives them a name, a wood, a number, and says which are finished and which stay bare.
"""

from lacwright.surface.bodies import (
    Body,
    Outline,
    arch_factor,
    body_of,
    body_zones,
    drawn_outline,
    extra,
    instrument,
    outline,
    outline_mark,
    traced_outline,
)
from lacwright.surface.flat import box, carcase, disc, frame_and_panel, panel, plain, strip
from lacwright.surface.long import developed, moulding, rod, tapered_leg, turned
from lacwright.surface.zone import (
    WORDS,
    Kind,
    Part,
    Zone,
    area,
    box_zones,
    face_names,
    make_part,
    total_figure,
)

__all__ = [
    "Part",
    "Zone",
    "Kind",
    "WORDS",
    "area",
    "face_names",
    "make_part",
    "total_figure",
    "box_zones",
    "panel",
    "disc",
    "box",
    "carcase",
    "frame_and_panel",
    "strip",
    "plain",
    "moulding",
    "developed",
    "turned",
    "rod",
    "tapered_leg",
    "Body",
    "Outline",
    "outline",
    "drawn_outline",
    "traced_outline",
    "arch_factor",
    "body_zones",
    "body_of",
    "instrument",
    "extra",
    "outline_mark",
]
