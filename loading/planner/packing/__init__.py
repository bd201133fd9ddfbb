"""Pure container loading: the most volume of given boxes into one container.

Apart from the planner's trucks and rules; it keeps the engine honest against published instances.
"""

from loading.planner.kernel_cache import use_kernel_cache

use_kernel_cache()  # before a module of this package imports Numba
