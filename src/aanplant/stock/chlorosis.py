"""How strongly a soil with lime turns vines yellow: the chlorosis power index."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def chlorosis_index(active_lime_pct: ArrayLike, iron_mg_kg: ArrayLike) -> NDArray[np.float64]:
    """Return the chlorosis power index, IPC = active lime / iron² × 10⁴.

    Parameters
    ----------
    active_lime_pct : array_like
        Active calcium carbonate. [%]
    iron_mg_kg : array_like
        Iron extracted with ammonium oxalate, above 0. [mg/kg]

    Raises
    ------
    ValueError
        If lime lies outside 0 to 100 %, or iron is not above 0.

    References
    ----------
    .. [1] Juste, Pouget (1972), C. R. Acad. Agric. Fr. 58: 352-354.
    """
    lime = np.asarray(active_lime_pct, dtype=np.float64)
    iron = np.asarray(iron_mg_kg, dtype=np.float64)
    if not np.all((lime >= 0) & (lime <= 100)):  # noqa: PLR2004 - the whole
        raise ValueError(f"active_lime_pct must be in [0, 100], got {lime}")
    if not np.all(iron > 0):
        raise ValueError(f"iron_mg_kg must be above 0, got {iron}")
    return np.asarray(lime / iron**2 * 1e4)
