"""The ASGI application that uvicorn serves."""

import os

from django.core.asgi import get_asgi_application

from config.threads import FewThreads

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

application = FewThreads(get_asgi_application())
