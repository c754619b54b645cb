PYTHON ?= python3

.PHONY: setup test check
setup:
	$(PYTHON) run.py setup
test:
	$(PYTHON) run.py test
check:
	$(PYTHON) run.py check
