"""How sure a share is that was counted: intervals for a fraction of vines."""

import math

from scipy.special import betaincinv, ndtri


def wilson(count: int, of: int, confidence: float = 0.95) -> tuple[float, float]:
    """Interval by Wilson's score: near its confidence on average.

    Parameters
    ----------
    count, of : int
        Vines of the kind, among the vines looked at. [vines]
    confidence : float
        0 < confidence < 1. [-]

    Returns
    -------
    tuple of float
        Lower and upper limit. [-]

    Raises
    ------
    ValueError
        If the counts do not fit one another or the confidence is outside its range.

    References
    ----------
    .. [1] Wilson (1927), Journal of the American Statistical Association 22: 209-212.
    """
    _refuse_outside(count, of, confidence)
    z = float(ndtri(0.5 + confidence / 2.0))
    share = count / of
    middle = (share + z * z / (2.0 * of)) / (1.0 + z * z / of)
    half = z / (1.0 + z * z / of) * math.sqrt(share * (1.0 - share) / of + (z / (2.0 * of)) ** 2)
    return (
        0.0 if count == 0 else max(0.0, middle - half),
        1.0 if count == of else min(1.0, middle + half),
    )


def clopper_pearson(count: int, of: int, confidence: float = 0.95) -> tuple[float, float]:
    """Interval from the binomial's own tails: never less sure than its confidence.

    Parameters
    ----------
    count, of, confidence
        As in ``wilson``.

    Returns
    -------
    tuple of float
        Lower and upper limit. [-]

    Raises
    ------
    ValueError
        As ``wilson``.

    References
    ----------
    .. [1] Clopper, Pearson (1934), Biometrika 26: 404-413.
    """
    _refuse_outside(count, of, confidence)
    tail = (1.0 - confidence) / 2.0
    low = 0.0 if count == 0 else float(betaincinv(count, of - count + 1, tail))
    high = 1.0 if count == of else float(betaincinv(count + 1, of - count, 1.0 - tail))
    return low, high


def _refuse_outside(count: int, of: int, confidence: float) -> None:
    if of < 1 or not 0 <= count <= of:
        raise ValueError(f"count must be between 0 and of >= 1, got {count} of {of}")
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must be in (0, 1), got {confidence}")
