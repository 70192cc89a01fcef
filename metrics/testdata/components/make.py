"""Writes parts.json: random masks and the sizes of their connected parts by
scikit-image (Debian's python3-skimage 0.19.3), 4-neighbours.

Run by hand: python3 make.py > parts.json
"""
import json

import numpy as np
from skimage.measure import label

rng = np.random.default_rng(20261125)
cases = []
for share in (0.2, 0.45, 0.58, 0.62, 0.8):
    mask = rng.random((40, 53)) < share
    parts = label(mask, connectivity=1)
    sizes = sorted(np.bincount(parts.ravel())[1:].tolist())
    cases.append({"rows": ["".join("#" if v else "." for v in row) for row in mask], "sizes": sizes})
print(json.dumps(cases, indent=1))
