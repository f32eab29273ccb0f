# SPDX-License-Identifier: GPL-3.0-or-later
# Builds pitleaf, tests it and shows what it does. `make help` lists the targets.

# What `make demo` shows: a setup, the base it is marked against, a few of its figures.
DEMO         := sheets/sluice-lane/plover-dry.leaf
DEMO_BASE    := sheets/cars/plover/baseline.leaf
DEMO_FIGURES := wheel-rate,ride-frequency,damping-ratio-slow,damping-ratio-fast,preload-needed,front-roll-share

# Where things go. OUT is the folder of one kind of build (optimised, sanitized, clang).
BUILD  ?= build
OUT    := $(BUILD)
GEN    := $(BUILD)/generated
PREFIX ?= /usr/local

# What has to be installed, by Debian's names: to build, and to test and lint.
BUILD_PACKAGES := gcc make pkg-config re2c lemon libhpdf-dev libgsl-dev libjansson-dev \
  libutf8proc-dev libmd-dev libpng-dev libgit2-dev fonttools fonts-roboto-unhinted fonts-dejavu-core fonts-dejavu-extra
CHECK_PACKAGES := libcmocka-dev clang libclang-rt-dev clang-format clang-tidy cppcheck qpdf poppler-utils valgrind \
  time git locales neovim libpcre2-dev libcjson-dev zsh fish mandoc gcovr

# Tools. Python is Debian's own, because another one earlier on PATH may lack fontTools.
# Libraries are linked (MODULES) or loaded when a command needs them (LOADED).
CC         := gcc
AR         := ar
PYTHON     := /usr/bin/python3
RE2C_FLAGS := -W -Werror -c -s --input-encoding utf8 --no-generation-date --no-version
MODULES    := gsl jansson libutf8proc libmd libpng
LOADED     := libgit2

# Compiler flags. Contraction of a*b+c is off, so that every machine prints the same digits.
# So are the registers of 80 bits that a compiler for 32-bit x86 computes in by itself.
# Where a long has 32 bits, sizes of files, their numbers and times have 64 all the same.
OPTIMISE := -O2 -g
ROUNDING := $(if $(filter i386-% i486-% i586-% i686-%,$(shell $(CC) -dumpmachine 2>/dev/null)),-msse2 -mfpmath=sse)
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror
CPPFLAGS := -Iinclude -I$(GEN) -D_XOPEN_SOURCE=700 -D_FILE_OFFSET_BITS=64 -D_TIME_BITS=64 $(shell pkg-config --cflags $(MODULES) $(LOADED) 2>/dev/null)
CFLAGS    = -std=c17 $(WARNINGS) $(OPTIMISE) -ffp-contract=off -pthread $(ROUNDING)
LIBS     := -lhpdf $(shell pkg-config --libs $(MODULES) 2>/dev/null) -lm -ldl

# The other kinds of build, as settings for a second run of make, and how it runs again.
SANITIZERS := -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
SANITIZED  := OUT=$(BUILD)/sanitized OPTIMISE="-O1 -g $(SANITIZERS)"
CLANG      := OUT=$(BUILD)/clang CC=clang OPTIMISE=-O1
COUNTED    := OUT=$(BUILD)/counted COUNT=-fsanitize-coverage=trace-pc OPTIMISE="-O1 -g"
FUZZED     := OUT=$(BUILD)/fuzz CC=clang OPTIMISE="-O1 -g $(SANITIZERS) \
  -fsanitize=float-cast-overflow,fuzzer-no-link"
AGAIN       = --no-print-directory $(if $(findstring -j,$(MAKEFLAGS)),,-j$(shell nproc))

# Sources, by room; src/app is the program, all others are the library.
ROOMS     := base units physics syntax model figures rules compare report sheet editor
LIBRARY   := $(foreach room,$(ROOMS),$(wildcard src/$(room)/*.c))
APP       := $(wildcard src/app/*.c)
TEMPLATES := $(wildcard templates/*.leaf)
TESTS     := $(foreach folder,unit golden errors outside limits,$(wildcard tests/$(folder)/*_test.c))
SUPPORT   := $(wildcard tests/*.c)
BENCH     := $(wildcard tests/bench/*.c)
GROWTH    := $(wildcard tests/growth/*.c)
FUZZ      := $(wildcard tests/fuzz/*_fuzz.c)
FUZZ_SUPPORT := tests/fuzz/target.c tests/fuzz/mutate.c

# Generated sources: the lexer, the parser, the cut fonts, the page templates.
GENERATED_HEADERS := $(patsubst grammar/%.y,$(GEN)/%.h,$(wildcard grammar/*.y))
GENERATED := $(patsubst grammar/%.re,$(GEN)/%.c,$(wildcard grammar/*.re)) \
  $(GENERATED_HEADERS:.h=.c) \
  $(patsubst src/sheet/font/cut.py,$(GEN)/font_data.c,$(wildcard src/sheet/font/cut.py)) \
  $(if $(TEMPLATES),$(GEN)/templates_data.c)

# What is made of them.
PROGRAM           := $(OUT)/pitleaf
ARCHIVE           := $(OUT)/libpitleaf.a
GENERATED_OBJECTS := $(GENERATED:$(GEN)/%.c=$(OUT)/objects/generated/%.o)
LIBRARY_OBJECTS   := $(LIBRARY:%.c=$(OUT)/objects/%.o) $(GENERATED_OBJECTS)
APP_OBJECTS       := $(APP:%.c=$(OUT)/objects/%.o)
TEST_OBJECTS      := $(TESTS:%.c=$(OUT)/objects/%.o)
SUPPORT_OBJECTS   := $(SUPPORT:%.c=$(OUT)/objects/%.o)
BENCH_OBJECTS     := $(BENCH:%.c=$(OUT)/objects/%.o)
TEST_PROGRAMS     := $(TESTS:%.c=$(OUT)/%)
FAULTS            := $(OUT)/tests/limits/faults.so
BENCH_PROGRAMS    := $(BENCH:%.c=$(OUT)/%)
GROWTH_OBJECTS    := $(GROWTH:%.c=$(OUT)/objects/%.o)
GROWTH_PROGRAM    := $(OUT)/tests/growth/growth_test
FUZZ_SHARED       := $(FUZZ_SUPPORT:%.c=$(OUT)/objects/%.o)
FUZZ_OBJECTS      := $(FUZZ:%.c=$(OUT)/objects/%.o) $(FUZZ_SHARED)
FUZZ_PROGRAMS     := $(FUZZ:%.c=$(OUT)/%)
OBJECTS           := $(LIBRARY_OBJECTS) $(APP_OBJECTS) $(TEST_OBJECTS) $(SUPPORT_OBJECTS) \
  $(BENCH_OBJECTS) $(FUZZ_OBJECTS) $(GROWTH_OBJECTS)

.PHONY: all objects tests fuzzers counted help deps demo test check valgrind faults growth clang coverage mutate fuzz lint format tidy bench \
  install uninstall clean ALWAYS
.DELETE_ON_ERROR:
.SECONDARY:

all: $(PROGRAM)          ## the program, optimised, in build/
objects: $(OBJECTS)
tests: $(PROGRAM) $(TEST_PROGRAMS) $(FAULTS)
fuzzers: $(FUZZ_PROGRAMS)

# Compile and link; `make Q=` shows whole commands. Everything waits for the tools and the
# parser's header.
Q := @
define COMPILE
@mkdir -p $(@D)
@echo "compile $<"
$(Q)$(CC) $(CPPFLAGS) $(CFLAGS) $(EXTRA) $(INSTRUMENT) -MMD -MP -c $< -o $@
endef

define LINK
@mkdir -p $(@D)
@echo "link $@"
$(Q)$(CC) $(CFLAGS) $(LDFLAGS) $(filter %.o,$^) $(filter %.a,$^) -o $@ $(LIBS)
endef

$(OBJECTS): Makefile | $(BUILD)/tools.ok $(GENERATED_HEADERS)
$(OUT)/objects/%.o: %.c
	$(COMPILE)
$(GENERATED_OBJECTS): $(OUT)/objects/generated/%.o: $(GEN)/%.c
	$(COMPILE)
$(PROGRAM): $(APP_OBJECTS) $(ARCHIVE) $(OUT)/program.list
	$(LINK)
$(TEST_PROGRAMS): $(SUPPORT_OBJECTS)
$(TEST_PROGRAMS) $(BENCH_PROGRAMS): $(OUT)/%: $(OUT)/objects/%.o $(ARCHIVE)
	$(LINK)
$(FUZZ_PROGRAMS): $(OUT)/%: $(OUT)/objects/%.o $(FUZZ_SHARED) \
  $(OUT)/objects/tests/layout.o $(ARCHIVE)
	$(LINK)
$(GROWTH_PROGRAM): $(GROWTH_OBJECTS) $(SUPPORT_OBJECTS) $(ARCHIVE)
	$(LINK)
$(ARCHIVE): $(LIBRARY_OBJECTS) $(OUT)/library.list
	@rm -f $@
	$(Q)$(AR) rcs $@ $(LIBRARY_OBJECTS)

# The parser's code is Lemon's, not ours: it leaves parameters unused, narrows its own tables,
# and keeps its tracing in static variables unless NDEBUG is defined.
$(GENERATED_OBJECTS): EXTRA := -Isrc/syntax -Isrc/sheet -DNDEBUG \
  -Wno-unused -Wno-unused-parameter -Wno-conversion -Wno-sign-conversion
$(TEST_OBJECTS) $(SUPPORT_OBJECTS) $(BENCH_OBJECTS) $(FUZZ_OBJECTS) $(GROWTH_OBJECTS): EXTRA := -Itests -Isrc
$(TEST_PROGRAMS) $(FUZZ_PROGRAMS) $(GROWTH_PROGRAM): LIBS += -lcmocka
# Where work is counted, the library alone is: the test has the counter.
$(LIBRARY_OBJECTS): INSTRUMENT = $(COUNT)
WRAPPED := memcpy memmove memset memcmp memchr strlen strcmp strncmp strchr strrchr strstr strspn strcspn \
  strpbrk strtod calloc vsnprintf
$(GROWTH_PROGRAM): LDFLAGS += $(WRAPPED:%=-Wl,--wrap=%)
$(FUZZ_PROGRAMS): LDFLAGS += -fsanitize=fuzzer
$(OUT)/tests/unit/editor_textmate_test: LIBS += -lpcre2-8
$(OUT)/tests/bench/reading: LIBS += -lcjson

# What tests load before the libraries of a program, to have their calls fail. The compiler must
# not take malloc for the one that it knows.
$(FAULTS): tests/limits/faults_preload.c tests/limits/faults.h Makefile
	@mkdir -p $(@D)
	@echo "link $@"
	$(Q)$(CC) $(CPPFLAGS) -std=c17 $(WARNINGS) -O1 -g -fPIC -fno-builtin -shared $< -o $@ -ldl

-include $(OBJECTS:.o=.d)

# The names of what goes into a product, in a file that is written anew only when they change:
# what was deleted has no time to compare, and would stay in the product.
$(BUILD)/templates.list: LISTED = $(TEMPLATES)
$(OUT)/library.list: LISTED = $(LIBRARY_OBJECTS)
$(OUT)/program.list: LISTED = $(APP_OBJECTS)
%.list: ALWAYS
	@mkdir -p $(@D)
	@echo "$(LISTED)" | cmp -s - $@ || echo "$(LISTED)" > $@

# Generate. Lemon leaves an unchanged header its old time, so it is touched.
$(GEN)/%.c: grammar/%.re | $(BUILD)/tools.ok
	@mkdir -p $(@D)
	re2c $(RE2C_FLAGS) -o $@ $<
$(GEN)/%.c $(GEN)/%.h: grammar/%.y | $(BUILD)/tools.ok
	@mkdir -p $(@D)
	lemon -q -d$(GEN) $<
	@touch $(GEN)/$*.h
$(GEN)/font_data.c: src/sheet/font/cut.py | $(BUILD)/tools.ok
	@mkdir -p $(@D)
	$(PYTHON) $< $@
$(GEN)/templates_data.c: src/sheet/embed.sh $(TEMPLATES) $(BUILD)/templates.list
	@mkdir -p $(@D)
	sh $< $(TEMPLATES) > $@

# A build never installs anything: it looks once for what it needs and names the mend.
$(BUILD)/tools.ok: Makefile .ci/tools
	@mkdir -p $(@D)
	@sh .ci/tools "$(CC)" "$(PYTHON)" $(MODULES) $(LOADED)
	@touch $@
deps:                    ## installs the Debian packages that are missing
	@sh .ci/deps $(BUILD_PACKAGES) $(CHECK_PACKAGES)

# Show.
demo: deps               ## checks the demo setup, prints figures, makes its sheet
	@$(MAKE) $(AGAIN) all
	$(PROGRAM) check $(DEMO)
	$(PROGRAM) figures $(DEMO) --only $(DEMO_FIGURES)
	$(PROGRAM) sheet $(DEMO) --against $(DEMO_BASE) -o $(BUILD)/demo.pdf
	@echo "The sheet is in $(BUILD)/demo.pdf"

# Test. tests/run.sh counts; a test counts as passed when it passes in every build.
test: deps               ## every test: optimised, sanitized, under valgrind; and a build with clang
	@$(MAKE) $(AGAIN) clang
	@$(MAKE) $(AGAIN) tests
	@$(MAKE) $(AGAIN) tests $(SANITIZED)
	@$(MAKE) $(AGAIN) counted $(COUNTED)
	@sh tests/run.sh $(BUILD) optimised sanitized valgrind counted
check: tests             ## the tests of the optimised build alone
	@sh tests/run.sh $(BUILD) optimised
valgrind: tests          ## the unit tests under valgrind
	@sh tests/run.sh $(BUILD) valgrind
TIMES := 1
growth:                  ## work counted for absurd files, a line each; TIMES=8 makes them larger
	@$(MAKE) $(AGAIN) counted $(COUNTED)
	@PITLEAF_ROOT="$$(pwd)" PITLEAF_TIMES=$(TIMES) $(BUILD)/counted/tests/growth/growth_test
counted: $(GROWTH_PROGRAM)
faults: tests            ## every call of every command fails in turn: an hour, or more
	@export PITLEAF_ROOT="$$(pwd)" PITLEAF_PROGRAM=$(abspath $(PROGRAM)) PITLEAF_FAULTS=all; \
	$(OUT)/tests/limits/faults_editor_test && $(OUT)/tests/limits/faults_test
clang:                   ## compiles all sources with clang, warnings being errors
	@$(MAKE) $(AGAIN) objects $(CLANG)

# How much do the tests go through?
coverage: deps           ## lines and branches that the tests go through, by room
	@# A process that leaves by _exit would not say what it went through.
	@$(MAKE) $(AGAIN) tests OUT=$(BUILD)/coverage OPTIMISE="-O0 -g --coverage -D_exit=exit"
	@find $(BUILD)/coverage -name '*.gcda' -delete
	@sh tests/run.sh $(BUILD) coverage
	@$(PYTHON) tests/coverage.py $(BUILD)/coverage

# Would the tests notice a slip? SHARE=10 tries every tenth, FILES="src/units/unit.c" one file's.
SHARE := 1
FILES :=
mutate: deps             ## swaps operators and numbers in the formulas; tests are to notice
	@$(MAKE) $(AGAIN) tests OUT=$(BUILD)/mutate OPTIMISE="-O1 -fPIC"
	@$(PYTHON) tests/mutate.py $(BUILD)/mutate $(SHARE) "$(FILES)" $(CC) -std=c17 -O1 -fPIC $(CPPFLAGS) -- $(LIBS) -lcmocka -lpcre2-8
# Fuzz. TIME is in seconds for each target; with SEED a run on the same corpus goes the same way.
TIME    := 60
SEED    := 0
TARGETS := $(patsubst tests/fuzz/%_fuzz.c,%,$(FUZZ))
fuzz: deps               ## changed inputs by chance, TIME=60 seconds for each of TARGETS
	@$(MAKE) $(AGAIN) fuzzers $(FUZZED)
	@sh tests/fuzz/run.sh $(BUILD)/fuzz $(TIME) $(SEED) $(TARGETS)

# Lint. A stamp for each file, so that clang-tidy looks again only at what changed.
LINTED  := $(wildcard src/*/*.c tests/*.c tests/*/*.c)
HEADERS := $(wildcard include/pitleaf/*.h src/*/*.h tests/*.h tests/*/*.h)
TIDY    := $(LINTED:%=$(BUILD)/lint/%.ok)
LINT_FLAGS := $(CPPFLAGS) -Itests -Isrc
lint: deps               ## format, static checks, direction of includes, names in the library
	@echo "clang-format, layers, symbols, cppcheck, clang-tidy"
	@clang-format --dry-run -Werror $(LINTED) $(HEADERS)
	@sh tests/lint/layers.sh
	@$(MAKE) $(AGAIN) $(ARCHIVE)
	@sh tests/lint/symbols.sh $(LIBRARY_OBJECTS)
	@# pngconf.h asks the system how many bits a byte has, which cppcheck does not read.
	@# legacyUninitvar does not see through designated initialisers; the compilers and valgrind do.
	@cppcheck --quiet --std=c11 --enable=warning,performance,portability --error-exitcode=1 \
	  --inline-suppr --suppress=missingIncludeSystem --suppress=legacyUninitvar --suppress=*:*/pngconf.h $(LINT_FLAGS) $(LINTED)
	@$(MAKE) $(AGAIN) tidy
format:                  ## writes every C file in the house's format
	@clang-format -i $(LINTED) $(HEADERS)
tidy: $(TIDY)
$(TIDY): $(BUILD)/lint/%.ok: % .clang-tidy $(HEADERS) $(wildcard include/pitleaf/*.def src/*/*.def) | $(GENERATED_HEADERS)
	@mkdir -p $(@D)
	@echo "tidy $<"
	$(Q)clang-tidy --quiet $< -- -std=c17 $(LINT_FLAGS) 2>$@.log || { cat $@.log; false; }
	@touch $@

# Measure.
bench: $(PROGRAM) $(BENCH_PROGRAMS)  ## times and memory beside a bare PDF writer
	@bash tests/bench/run.sh $(OUT) $(DEMO) $(DEMO_BASE)

# Install and clean.
install: $(PROGRAM)      ## program, templates, demo, manual pages, completion under DESTDIR and PREFIX
	@sh .ci/install $(PROGRAM) "$(DESTDIR)$(PREFIX)"
uninstall:               ## removes what install put there
	@sh .ci/install --remove $(PROGRAM) "$(DESTDIR)$(PREFIX)"
clean:                   ## removes build/
	rm -rf $(BUILD)
help:                    ## this list
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "%-9s %s\n", $$1, $$2 }' Makefile
