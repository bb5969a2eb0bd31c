# make run     make test     make help
#
# Written for GNU make 3.81 and later, which is what macOS has.

PORT := 8317
URL := http://127.0.0.1:$(PORT)/

BIN := .venv/bin
PIP := $(BIN)/python -m pip
INSTALL := $(PIP) install --quiet --quiet --disable-pip-version-check --no-input

# Every version, the build backend's too. Newer pips read the second name for the latter.
export PIP_CONSTRAINT := constraints.txt
export PIP_BUILD_CONSTRAINT := constraints.txt

.PHONY: help run test constraints clean

help:
	@echo "make run          install Pointage here and open it with the demonstration kitchen"
	@echo "                  (PORT=$(PORT) unless you say otherwise: make run PORT=9000)"
	@echo "make test         install what the tests need, and run the checks (CI=1: the longest, too)"
	@echo "make constraints  choose the newest versions of everything again"
	@echo "make clean        remove what make made (.venv and caches)"

run: .venv/installed
	@$(BIN)/python -m pointage.mixture.warm
	@$(BIN)/python scripts/open_browser.py $(URL) & exec $(BIN)/pointage serve --demo --port $(PORT)

test: .venv/installed-dev
	@scripts/check

constraints: .venv/bin/pip
	@echo "pointage: looking for the newest versions of everything"
	@PIP_CONSTRAINT= PIP_BUILD_CONSTRAINT= $(INSTALL) --upgrade --upgrade-strategy eager \
	    setuptools --editable ".[dev,postgresql]"
	@$(PIP) freeze --all --exclude-editable | grep -v '^pip==' > constraints.txt
	@touch .venv/installed .venv/installed-dev
	@echo "pointage: constraints.txt holds `grep -c . constraints.txt` versions; now run make test"

clean:
	@echo "pointage: removing .venv and caches"
	@rm -rf .venv build .mypy_cache .pytest_cache .ruff_cache .hypothesis .import_linter_cache
	@find src tests benchmarks scripts -name __pycache__ -type d -prune -exec rm -rf {} +

.venv/bin/pip:
	@python=`scripts/find-python` && \
	    echo "pointage: making .venv with `$$python --version`" && \
	    "$$python" -m venv --clear .venv

.venv/installed: .venv/bin/pip pyproject.toml constraints.txt
	@echo "pointage: installing what it needs (715 MB on the disk; a minute or two)"
	@$(INSTALL) --editable .
	@touch $@

.venv/installed-dev: .venv/installed
	@echo "pointage: installing what the tests need (610 MB more)"
	@$(INSTALL) --editable ".[dev]"
	@touch $@
