# Short verbs; `make` alone lists them. Nothing here needs root, Docker or Node.

PYTHON ?=
DEMO_PORT ?= 8000
RESET ?=
ARGS ?=
CLOCK ?=
SEED ?=
N ?= 40

VERBS := env demo test quick rules fuzz coverage browser bench mutants lint shots clean
PY := .venv/bin/python
READY := .venv/whistlestop-ready
FONTS := var/static/fonts/atkinson-regular.woff2
WORDS := var/locale/es/LC_MESSAGES/django.mo
# For commands that read the settings and talk to no server: port 9 answers nobody.
NO_SERVERS := DATABASE_URL=postgresql://nobody@127.0.0.1:9/none REDIS_URL=redis://127.0.0.1:9/0 \
	SECRET_KEY=for-checks-only SITE_URL=http://127.0.0.1 WHISTLESTOP_MODE=test
# Tests of plain rules, which need no server and no database.
RULES := tests/reference $(wildcard tests/*/test_*_rule.py) tests/runsheets/test_activity_rows.py \
	$(wildcard tests/floor/test_floor_log*.py) tests/runsheets/test_things.py tests/shifts/test_matching.py \
	tests/shifts/test_small_rules.py
# Sets of words come in the same order in every run, so that no test depends on luck.
SAME := PYTHONHASHSEED=0

# At which instant every test begins; see tests/clock.py.
export CLOCK
# Images of containers often set it, and then every process compiles the whole project and its tests anew.
export PYTHONDONTWRITEBYTECODE :=

.PHONY: help packages $(VERBS)
.SILENT:

help:
	echo "make env      the environment in .venv that everything below uses"
	echo "make demo     the whole site with invented data, on this machine (DEMO_PORT=8000, RESET=1 starts over)"
	echo "make test     every test, with throw-away servers (ARGS='-k words' narrows it; CLOCK=2027-03-14T01:30 begins then)"
	echo "make quick    the short tests, without a browser and without faults"
	echo "make rules    the short tests of the plain rules, without any server"
	echo "make fuzz     the property tests on fresh examples; says its SEED, and SEED=n draws the same again"
	echo "make coverage which lines the tests run, and how many of all"
	echo "make browser  find or install the Chromium that the browser tests drive"
	echo "make bench    the measurements"
	echo "make mutants  whether the tests notice small changes to the code (ARGS=people/rules/standing.py, SEED=1, N=40)"
	echo "make lint     style, types and import directions"
	echo "make shots    pictures of the pages for the documentation"
	echo "make clean    delete .venv and var, the demo's data with them"

env: packages $(FONTS) $(WORDS)

packages:
	if $(PY) -I -S config/environment.py --current 2>/dev/null; then exit 0; fi; \
	python=; for name in $(or $(PYTHON),python3 python3.14 python3.13 python3.12 python3.11); do \
		if "$$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then python=$$name; break; fi; \
	done; \
	if [ -z "$$python" ]; then \
		echo "Python 3.11 or newer is needed and was not found. Install it, or name it: make env PYTHON=/path/to/python3" >&2; \
		exit 1; \
	fi; \
	exec "$$python" -I config/environment.py

$(FONTS): | packages
	$(NO_SERVERS) $(PY) manage.py make_fonts

$(WORDS): $(wildcard core/locale/es/*.po) | packages
	$(NO_SERVERS) $(PY) manage.py make_words

demo: env
	exec $(PY) -m demo.run --port "$(DEMO_PORT)" $(if $(RESET),--reset)

test: env browser
	exec env $(SAME) $(PY) -m pytest $(ARGS)

quick: env
	exec env $(SAME) $(PY) -m pytest --ignore=tests/browser --ignore=tests/faults -m "not slow and not thorough" $(ARGS)

rules: env
	exec env $(SAME) $(NO_SERVERS) $(PY) -m pytest -p tests.no_servers -m "not slow and not thorough" $(RULES) $(ARGS)

fuzz: env
	seed=$(or $(SEED),$$($(PY) -c 'import secrets; print(secrets.randbelow(2**32))')); \
	again="The same examples again: make fuzz SEED=$$seed"; \
	echo "$$again"; \
	PYTHONHASHSEED=$$seed $(PY) -m pytest --hypothesis-profile=fresh --hypothesis-seed=$$seed -m hypothesis $(ARGS) || \
		{ echo "$$again" >&2; exit 1; }

coverage: env browser
	exec env $(SAME) $(PY) -m pytest --cov --cov-report=term:skip-covered --cov-report=html $(ARGS)

browser: packages
	exec $(PY) -m tests.chromium

bench: env
	exec $(PY) -m pytest tests/benchmarks -s -o addopts= -p tests.servers $(ARGS)

mutants: env
	exec $(PY) -m tests.mutants.run --seed "$(or $(SEED),1)" -n "$(N)" $(ARGS)

lint: packages
	$(PY) -m ruff check .
	$(PY) -m ruff format --check .
	$(NO_SERVERS) $(PY) -m mypy --show-traceback .
	$(NO_SERVERS) $(PY) -W ignore manage.py makemigrations --check --dry-run
	.venv/bin/oxlint --deny-warnings */static/floor tests/browser
	$(PY) -m djlint --check $(wildcard */templates)
	$(PY) -c 'from importlinter.cli import lint_imports_command; lint_imports_command()' --cache-dir var/cache/imports

shots: env browser
	exec $(PY) -m tests.browser.shots

clean:
	if [ -e $(READY) ]; then $(PY) -m demo.run --forget; fi
	rm -rf .venv var
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

.DEFAULT:
	echo "There is no 'make $@'. There are: $(VERBS). 'make' alone says what each does." >&2
	exit 2
