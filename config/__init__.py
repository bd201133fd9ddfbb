from config.celery import app as celery_app
from loading.planner.kernel_cache import use_kernel_cache

__all__ = ["celery_app"]

use_kernel_cache()
