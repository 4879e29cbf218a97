"""Published dispersions and readings that the tests of dispersion start from."""

import numpy as np

from lenscalc.material import schott_index, sellmeier_index

# Malitson, J. Opt. Soc. Am. 55 (1965) 1205, fused silica, 0.21 to 3.71 µm
SILICA_B, SILICA_C = [0.6961663, 0.4079426, 0.8974794], [0.0684043**2, 0.1162414**2, 9.896161**2]
PMMA_B, PMMA_C = [0.99654, 0.18964, 0.00411], [0.00787, 0.02191, 3.85727]  # Szczurowski 2013, refractiveindex.info (CC0)
# Sultanova, Kasarova & Nikolov, Acta Phys. Pol. A 116 (2009) 585: measured indices of PMMA, as a forum post copies the table
NM = [436.8, 486.1, 587.6, 632.8, 703.0, 833.0, 879.0, 1052.0]
PMMA = [1.502, 1.497, 1.491, 1.489, 1.486, 1.484, 1.483, 1.481]
LAMPS = [435.8343, 479.9914, 508.58, 546.074, 587.5618, 632.8, 656.2725, 706.52]

POLYMERS = {  # refractiveindex.info (CC0), papers as named
    "PMMA, Szczurowski 2013": lambda nm: sellmeier_index(nm, PMMA_B, PMMA_C),
    "PMMA, Beadie 2015": lambda nm: schott_index(
        nm, [2.1778, 6.1209e-3, -1.5004e-3, 2.3678e-2, -4.2137e-3, 7.3417e-4, -4.5042e-5], [0, 2, 4, -2, -4, -6, -8]
    ),
    "polystyrene, Sultanova 2009": lambda nm: sellmeier_index(nm, [1.4435], [0.020216]),
    "PDMS, Schneider 2009": lambda nm: sellmeier_index(nm, [1.0093], [0.013185]),
}


def pmma(nm=LAMPS, noise=0.0, seed=5):
    n = sellmeier_index(np.asarray(nm), PMMA_B, PMMA_C)
    return n + noise * np.random.default_rng(seed).standard_normal(len(nm))
