"""From what the soil needs to what the spreader holds: strength, fineness and moisture."""


def lime_product(
    carbonate_t: float, neutralising_value_pct: float, fineness_pct: float, moisture: float
) -> float:
    """Lime as delivered that does the work of pure fine carbonate. [t].

    Parameters
    ----------
    carbonate_t : float
        Pure CaCO3. [t]
    neutralising_value_pct : float
        Of the dry product, pure CaCO3 = 100. [%]
    fineness_pct : float
        Share fine enough to react. [%]
    moisture : float
        Water in the product as delivered, 0 <= moisture < 1. [-]

    Raises
    ------
    ValueError
        If a value is outside its range.
    """
    if neutralising_value_pct <= 0 or not 0 < fineness_pct <= 100 or not 0 <= moisture < 1:  # noqa: PLR2004
        raise ValueError(
            "expected a neutralising value above 0, fineness in (0, 100], moisture in [0, 1), "
            f"got {neutralising_value_pct}, {fineness_pct}, {moisture}"
        )
    return carbonate_t * 100.0 / neutralising_value_pct * 100.0 / fineness_pct / (1.0 - moisture)


def product_with(substance: float, content: float, moisture: float = 0.0) -> float:
    """Product that holds so much of a substance, in the unit of the substance.

    Parameters
    ----------
    substance : float
        Needed.
    content : float
        Share of it in the dry product, 0 < content <= 1. [-]
    moisture : float
        Water in the product as delivered, 0 <= moisture < 1. [-]

    Raises
    ------
    ValueError
        If a share is outside its range.
    """
    if not 0 < content <= 1 or not 0 <= moisture < 1:
        raise ValueError(f"content in (0, 1], moisture in [0, 1), got {content}, {moisture}")
    return substance / content / (1.0 - moisture)
