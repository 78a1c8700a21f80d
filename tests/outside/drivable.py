"""What the clean-up of zones promises, judged by GEOS."""

import shapely

SQUARE = {"acres": 4046.8564224, "hectares": 10_000.0}
METRES = {"acres": 0.3048, "hectares": 1.0}  # of the totals' length unit
# A disc cannot reach into a corner, and where three zones meet there is always one: so deep, in
# steps of the lattice, may a zone reach beyond what discs cover.
CORNER = 1.5


def narrow_area(flat, number, diameter, near):
    """Square metres of a zone farther than `near` from every disc that fits in it. The ground
    outside the field counts as free: along the boundary a zone may be narrow."""
    zone, others = flat[number], flat[:number] + flat[number + 1 :]
    around = zone.buffer(4 * diameter)
    free = shapely.difference(around, shapely.union_all([o for o in others if o.intersects(around)]))
    reached = free.buffer(-diameter / 2, quad_segs=32).buffer(diameter / 2 + near, quad_segs=32)
    return shapely.difference(zone, reached).area


def faults(outputs, flat):
    """What is too small or too narrow: zone numbers with figures."""
    stated = outputs.totals["clean_up"]
    unit = "acres" if "acres" in outputs.totals["total"] else "hectares"
    step = float(outputs.totals["surface"]["grid"]) * METRES[unit]
    least = float(stated["min_zone"]) * SQUARE[unit]
    width = float(stated["min_width"]) * METRES[unit]
    found = []
    for number, zone in enumerate(flat):
        others = flat[:number] + flat[number + 1 :]
        has_neighbour = any(zone.intersection(other).length > 0 for other in others)
        if has_neighbour and zone.area < least * (1 - 1e-5):
            found.append(f"zone {number + 1} is too small: {zone.area:.0f} m2 of {least:.0f}")
        area = narrow_area(flat, number, width - step, CORNER * step)
        # A disc of 64 corners is short of the circle by a millimetre and a half.
        if area > 0.05:
            found.append(f"zone {number + 1} is too narrow on {area:.2f} m2")
    return found
