# make book        the demonstration book, into build/syllabus.pdf
# make test        every check, with the same random scores every time
# make test-long   the tests with random scores, ROUNDS times with others each time (10)
# make bench       exercises of 50 to 1000 bars and the demonstration book, engraved against the clock
#                  and beside an engraver of music; a hundred thousand random frames, engraved and
#                  read back; books against another typesetter, with targets (a quarter of an hour)
# make storm       twenty thousand mutants each of scores, styles, books and paths, and what must
#                  never happen to them; two hundred houses; three hundred builds killed
#                  (an hour)
# make mutate      every number of every place moved, one at a time, and who sees it (ten minutes)
# make legibility  every way of writing in print beside its neighbours in meaning, and how much ink
#                  tells them apart, weakest first (half a minute)
# make schema      the schema's XML form from its compact form (needs Java)
# make quick SIGN="half bend"
#                  a sign and all that uses it as a picture, read back, and the tests it touches
# All make the environment first, and keep it until a lock, pyproject.toml or the set-up changes.

.PHONY: book test test-long bench storm mutate legibility schema quick environment libraries lock clean

# Modules are compiled once, not by every process of the tests.
export PYTHONDONTWRITEBYTECODE =

book: environment
	@mkdir -p build
	.venv/bin/stavebound build books/syllabus/book.xml --out build/syllabus.pdf

test: environment
	.venv/bin/ruff check
	.venv/bin/ruff format --check
	.venv/bin/mypy
	.venv/bin/lint-imports
	.venv/bin/python -m pytest -n auto --dist worksteal

ROUNDS = 10
REPEAT = .venv/bin/python -m pytest -m hypothesis --hypothesis-seed

test-long: environment
	@for seed in $$(.venv/bin/python -c 'import random; print(*random.sample(range(10**6), $(ROUNDS)))'); do \
		echo "seed $$seed; the same again: $(REPEAT)=$$seed"; \
		$(REPEAT)=$$seed -q -n auto --dist worksteal || exit 1; \
	done

bench: environment
	.venv/bin/python -m tests.bench.engrave_scores
	.venv/bin/python -m tests.bench.beside_music
	.venv/bin/python -m tests.bench.read_frames
	.venv/bin/python -m tests.bench.press_books

storm: environment
	.venv/bin/python -m tests.storm
	.venv/bin/python -m tests.storm.houses --times 200
	.venv/bin/python -m tests.storm.kills --times 300

mutate: environment
	.venv/bin/python -m tests.bench.mutate_places

legibility: environment
	.venv/bin/python -m tests.bench.legibility

schema: environment
	.venv/bin/python -m tests.tools.schema

quick: environment
	@.venv/bin/python -m tests.tools.quick "$(SIGN)"

environment: libraries .venv/installed

libraries:
	@sh setup/environment.sh libraries

.venv/locked: requirements-dev.txt setup/environment.sh | libraries
	@sh setup/environment.sh packages
	@touch $@

.venv/installed: .venv/locked pyproject.toml
	@sh setup/environment.sh project
	@touch $@

# The development lock holds the run-time lock, version for version.
LOCK = .venv/bin/uv pip compile --quiet --system-certs --universal --python-version 3.11 --generate-hashes \
	--no-emit-index-url --no-header --no-annotate --upgrade pyproject.toml

lock: environment
	$(LOCK) --output-file requirements.txt
	$(LOCK) --group dev --constraint requirements.txt --output-file requirements-dev.txt

clean:
	rm -rf .venv build dist .hypothesis .mypy_cache .pytest_cache .ruff_cache .import_linter_cache
