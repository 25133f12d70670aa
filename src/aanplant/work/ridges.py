"""How much soil ridges take, and how long the machine is at it."""


def ridge_section_m2(height_m: float, crown_m: float, base_m: float) -> float:
    """Cross-section of a ridge with sloping sides. [m2].

    Parameters
    ----------
    height_m : float
        [m]
    crown_m, base_m : float
        Width at the top and at the foot. [m]
    """
    return height_m * (crown_m + base_m) / 2.0


def fresh_height_m(settled_height_m: float, settling: float) -> float:
    """Height to throw up so that a ridge keeps its height after settling. [m].

    Parameters
    ----------
    settled_height_m : float
        Wanted. [m]
    settling : float
        Share of its height a fresh ridge loses, 0 <= settling < 1. [-]

    Raises
    ------
    ValueError
        If ``settling`` is outside its range.
    """
    if not 0 <= settling < 1:
        raise ValueError(f"settling must be in [0, 1), got {settling}")
    return settled_height_m / (1.0 - settling)


def pass_hours(length_m: float, passes: float, speed_km_h: float) -> float:
    """Machine time along the rows, turns left out. [h]."""
    return length_m * passes / (speed_km_h * 1000.0)
