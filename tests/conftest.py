"""No test ever meets the record of whoever runs it."""

import os
import tempfile

os.environ["LACWRIGHT_HOME"] = os.path.join(tempfile.gettempdir(), "lacwright-tests-no-record")
