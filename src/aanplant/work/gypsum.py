"""How much gypsum a sodic layer needs, by every rule that is printed for it.

All give tonnes of pure gypsum (CaSO4·2H2O) a hectare. Water-soluble sodium is taken off
before, and the land must drain: gypsum moves sodium, drains carry it away.
"""

GYPSUM_T_PER_CMOL = 8.609
"""t/ha of gypsum a metre of soil for each t/m3 and cmol(+)/kg: half a molar mass of 172.17."""
HANDBOOK_60_T_HA = 3.85
"""t/ha a 300 mm layer for each cmol(+)/kg of sodium (1.72 short tons an acre-foot)."""
SOUTH_AFRICAN_T_HA = 3.4
"""t/ha a 300 mm layer for each cmol(+)/kg of exchangeable sodium (South African guidelines)."""
SODIUM_MG_PER_CMOL = 230.0
"""As the South African guidelines round it; exact 229.9. [mg/kg]"""
MOST_T_HA = 10.0
"""Most gypsum in all at preparation (South African guidelines). [t/ha]"""
LAYER_M = 0.3


def exchangeable_sodium_percentage(sodium_cmol_kg: float, cec_cmol_kg: float) -> float:
    """Sodium as a share of the exchange capacity, ESP. [%]."""
    return 100.0 * sodium_cmol_kg / cec_cmol_kg


def sodium_to_replace(cec_cmol_kg: float, esp_pct: float, target_esp_pct: float) -> float:
    """Exchangeable sodium above a target, never negative. [cmol(+)/kg]."""
    return max(0.0, cec_cmol_kg * (esp_pct - target_esp_pct) / 100.0)


def gypsum_by_charge(sodium_cmol_kg: float, thickness_m: float, bulk_density_t_m3: float) -> float:
    """Gypsum that holds as much charge as the sodium: 8.609 × depth × density × Na. [t/ha]."""
    return GYPSUM_T_PER_CMOL * thickness_m * bulk_density_t_m3 * sodium_cmol_kg


def gypsum_handbook_60(
    sodium_cmol_kg: float, thickness_m: float, efficiency_factor: float = 1.0
) -> float:
    """Gypsum by US Salinity Laboratory Handbook 60, at a density of about 1.5. [t/ha].

    Parameters
    ----------
    sodium_cmol_kg : float
        Sodium to replace. [cmol(+)/kg]
    thickness_m : float
        Of the layer. [m]
    efficiency_factor : float
        1.25 where the textbook allows for sodium that is not replaced at once. [-]
    """
    return HANDBOOK_60_T_HA * sodium_cmol_kg * thickness_m / LAYER_M * efficiency_factor


def gypsum_oster(
    cec_cmol_kg: float,
    esp_pct: float,
    target_esp_pct: float,
    thickness_m: float,
    bulk_density_t_m3: float,
    *,
    efficiency_factor: float = 1.1,
    purity: float = 1.0,
) -> float:
    """Gypsum of a purity in the form of Oster: 8.6 F D BD CEC (ESP - target). [t/ha].

    Parameters
    ----------
    cec_cmol_kg : float
        [cmol(+)/kg]
    esp_pct, target_esp_pct : float
        ESP found and wanted. [%]
    thickness_m, bulk_density_t_m3 : float
        Of the layer. [m], [t/m3]
    efficiency_factor : float
        F, 1.1 to 1.3. [-]
    purity : float
        Share of gypsum in the product. [-]
    """
    sodium = sodium_to_replace(cec_cmol_kg, esp_pct, target_esp_pct)
    return 8.6 * efficiency_factor * thickness_m * bulk_density_t_m3 * sodium / purity


def gypsum_south_african(sodium_cmol_kg: float, thickness_m: float = LAYER_M) -> float:
    """Gypsum by the South African guidelines: 3.4 t/ha a 300 mm layer and cmol. [t/ha]."""
    return SOUTH_AFRICAN_T_HA * sodium_cmol_kg * thickness_m / LAYER_M
