"""A thousand rows with their images through the chain.

Not in the ordinary run:  python -m pytest tests/benchmarks/test_image.py -o addopts="" -s
"""

from time import perf_counter

import numpy as np

from lenscalc import evaluate
from lenscalc.chain.image import IMAGE


def test_a_thousand_images_take_a_few_seconds():
    rng = np.random.default_rng(1)
    table = {
        "front_radius_mm": rng.uniform(9, 25, 1000), "back_radius_mm": -rng.uniform(9, 25, 1000), "center_thickness_mm": rng.uniform(0.4, 1.2, 1000),
        "n_lens": rng.uniform(1.42, 1.56, 1000), "front_conic": rng.uniform(-6, 1, 1000), "pupil_diameter_mm": rng.uniform(2, 5, 1000),
        "beam": rng.choice(["collimated", "model-eye"], 1000), "wavelength_nm": 546.07, "frequency_per_mm": 100.0,
    }  # fmt: skip
    times = []
    for _ in range(3):
        begin = perf_counter()
        found = evaluate(table, compute=IMAGE)
        times.append(perf_counter() - begin)
    assert not np.any(np.isnan(found.columns["mtf"]))
    print(f"\n1,000 images: {min(times):.2f} s")
    assert min(times) < 5.0
