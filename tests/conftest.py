"""No test ever meets the record, or the time zone, of whoever runs it."""

import os
import tempfile

os.environ["LACWRIGHT_HOME"] = os.path.join(tempfile.gettempdir(), "lacwright-tests-no-record")
os.environ["TZ"] = "UTC"
