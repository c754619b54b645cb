"""Settings of the record; the pages build on these. Which shop is opened is decided later."""

from __future__ import annotations

import os

INSTALLED_APPS = ["lacwright.shop"]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = False
SECRET_KEY = "of no use without pages, which bring their own"

DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        # `opening.open_record` puts the database of the shop here.
        "NAME": ":memory:",
        "OPTIONS": {
            # A write takes the lock when it begins, so that two writers queue up and never meet
            # half-way.
            "transaction_mode": "IMMEDIATE",
            "timeout": 10,
            # Rollback journal and EXTRA: what was acknowledged outlives a power cut.
            "init_command": "PRAGMA journal_mode=DELETE; PRAGMA synchronous=EXTRA; "
                            "PRAGMA foreign_keys=ON;",
        },
    }
}  # fmt: skip

if os.environ.get("LACWRIGHT_HASTY"):
    # For tests alone: a shop that lives for a second need not outlive a power cut.
    DATABASES["default"]["OPTIONS"]["init_command"] = (  # type: ignore[index]
        "PRAGMA journal_mode=MEMORY; PRAGMA synchronous=OFF; PRAGMA foreign_keys=ON;"
    )
