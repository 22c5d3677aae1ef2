"""Arrays, and how near is near enough: the types and the tolerances that everything shares. Inches."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Numbers: TypeAlias = NDArray[np.float64]
Indices: TypeAlias = NDArray[np.intp]
Mask: TypeAlias = NDArray[np.bool_]
