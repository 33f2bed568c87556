# make demo: plan the demo job and say where the results are.  make test: every test.  make fuzz: the same with new examples.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: demo test fuzz check bench docs clean
demo: $(VENV)/core.stamp
	$(BIN)/python demo/make_mould.py demo/workshop/jobs/day-hatch-lid/mould.stl
	$(BIN)/python demo/make_brace_mould.py demo/workshop/jobs/right-thigh-brace/mould.stl
	$(BIN)/python demo/make_photo.py demo/photos/offcut.jpg
	$(BIN)/bagside trace demo/photos/offcut.jpg --frame A3 --out demo/photos/traced
	$(BIN)/bagside plan demo/workshop/jobs/day-hatch-lid/job.toml --out demo/workshop/jobs/day-hatch-lid/out

test: $(VENV)/dev.stamp $(VENV)/browser.stamp
	$(BIN)/python -m pytest -n auto --maxprocesses 4 --dist loadfile

fuzz: $(VENV)/dev.stamp $(VENV)/browser.stamp
	HYPOTHESIS_PROFILE=fuzz $(BIN)/python -m pytest -n auto --maxprocesses 4 --dist loadfile

check: $(VENV)/dev.stamp
	$(BIN)/ruff check src tests benchmarks demo
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/dev.stamp
	$(BIN)/python -m benchmarks

$(VENV)/core.stamp: pyproject.toml constraints.txt
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e .
	touch $@

$(VENV)/dev.stamp: $(VENV)/core.stamp
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	touch $@

$(VENV)/browser.stamp: tests/browser.sh $(VENV)/dev.stamp
	sh tests/browser.sh $(BIN)/python
	touch $@

clean:
	rm -rf $(VENV) demo/photos demo/workshop/jobs/*/out demo/workshop/jobs/*/layout.json
