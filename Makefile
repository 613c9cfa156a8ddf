# SPDX-License-Identifier: GPL-3.0-or-later
# pushcycle: `make help` lists the targets.

VERSION := $(shell awk '$$2 ~ /^PC_VERSION_(MAJOR|MINOR|PATCH)$$/ {v = v dot $$3; dot = "."} END {print v}' lib/base/version.h)
SOVERSION := 0
PREFIX ?= /usr/local
BINDIR ?= $(PREFIX)/bin
LIBDIR ?= $(PREFIX)/lib
INCLUDEDIR ?= $(PREFIX)/include
MANDIR ?= $(PREFIX)/share/man
BASHDIR ?= $(PREFIX)/share/bash-completion/completions
ZSHDIR ?= $(PREFIX)/share/zsh/site-functions
CC ?= cc
MODE ?= release
BUILD ?= build/$(MODE)
JOBS ?= $(shell nproc 2>/dev/null || echo 1)
OPT_release := -O2
OPT_debug := -O0 -g
OPT_asan := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
OPT_valgrind := -O1 -g # a third of the time of -O0, and lines still right
OPT_tsan := -O1 -g -fsanitize=thread
OPT_cover := -O0 -g --coverage
OPT_fuzz := -O1 -g -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all
OPT_abi := -O1 -g
OPT ?= $(OPT_$(MODE))
WARN := -Wall -Wextra -Wpedantic -Wconversion -Wshadow
PKGS := gsl geos yaml-0.1 jansson proj pangocairo
PC_CPPFLAGS = -Ilib -I$(BUILD) -I. -Itests/support -D_POSIX_C_SOURCE=200809L
# Without pairs of doubles put together in memory: a point that comes in two registers would be stored only to be
# loaded as one, which costs 7 % of a run (gcc 12).
PC_CFLAGS = -std=c17 $(WARN) $(WERROR) $(OPT) $(CFLAGS) -ffp-contract=off -fno-tree-slp-vectorize -fvisibility=hidden -fPIC -pthread
PKG_CFLAGS := $(shell pkg-config --cflags $(PKGS) 2>/dev/null | sed 's/-I/-isystem /g')
CORE_LIBS := $(shell pkg-config --libs gsl geos 2>/dev/null) -lgeos_c -lglpk -lm -pthread
IO_LIBS := $(shell pkg-config --libs yaml-0.1 jansson proj pangocairo cairo 2>/dev/null)
WEB_LIBS := -lmicrohttpd # the server of `board`; in no library
LINK = $(CC) $(PC_CFLAGS) $(LDFLAGS)

CORE_SRC := $(wildcard lib/base/*.c lib/machine/*.c lib/site/*.c lib/sim/*.c lib/study/*.c)
IO_SRC := $(wildcard lib/io/*.c)
WEB_SRC := $(wildcard lib/io/web/*)
CLI_SRC := $(wildcard cli/*.c)
UNIT_SRC := $(wildcard tests/unit/*.c)
SUPPORT_SRC := $(wildcard tests/support/*.c)
ALLOC_SRC := $(wildcard tests/alloc/test_*.c)
ALLOC_PARTS := $(filter-out $(ALLOC_SRC),$(wildcard tests/alloc/*.c))
FUZZ_SRC := $(wildcard tests/fuzz/fuzz_*.c)
LONE_SRC := $(wildcard tests/*.c bench/*.c docs/examples/*.c) # each with its own main
REFERENCE_SRC := $(wildcard tools/reference/*.c)
SOURCES := $(CORE_SRC) $(IO_SRC) $(CLI_SRC) $(REFERENCE_SRC) $(SUPPORT_SRC) $(UNIT_SRC) $(ALLOC_SRC) $(ALLOC_PARTS) $(FUZZ_SRC) tests/fuzz/fuzz.c tests/fuzz/replay.c tests/fuzz/words.c $(LONE_SRC)
HEADERS := $(wildcard lib/*.h lib/*/*.h cli/*.h tests/*/*.h tools/*/*.h docs/examples/*.cpp)
# What the umbrella headers name is public; the rest stays here.
PUBLIC := pushcycle.h pushcycle-io.h $(sort $(shell sed -n 's/^\#include "\(.*\)"/\1/p' lib/pushcycle.h lib/pushcycle-io.h))
objects = $(patsubst %.c,$(BUILD)/%.o,$(1))
UNIT_BIN := $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(UNIT_SRC)) $(patsubst tests/alloc/%.c,$(BUILD)/tests/%,$(ALLOC_SRC)) \
  $(patsubst tests/fuzz/%.c,$(BUILD)/tests/%,$(FUZZ_SRC))
GENERATED := $(BUILD)/gen/starter_yaml.inc $(BUILD)/gen/starter_feet_yaml.inc $(BUILD)/gen/ferry_terminal_yaml.inc
ARCHIVES := $(BUILD)/libpushcycle-io.a $(BUILD)/libpushcycle.a
SHARED := $(BUILD)/libpushcycle.so $(BUILD)/libpushcycle-io.so
AGAIN = $(MAKE) --no-print-directory

command: $(BUILD)/pushcycle

help:
	@echo 'make            builds the command: build/release/pushcycle'
	@echo 'make all        the command and both libraries, static and shared'
	@echo 'make demo       installs what is missing, builds, shows the built-in lot'
	@echo 'make test       installs what is missing, builds, runs every test'
	@echo 'make lint       formatting, static analysis, strict builds, rules of the code'
	@echo 'make test-browser  the tests in a headless Chromium alone'
	@echo 'make layers     checks that each folder includes only what lies below it'
	@echo 'make asan       unit and command tests with address and undefined-behaviour checks'
	@echo 'make tsan       unit tests with data-race checks'
	@echo 'make valgrind   unit tests under valgrind'
	@echo 'make fuzz       readers against made-up input, FUZZ_SECONDS=60 for each target'
	@echo 'make soak       random scenarios, SOAK_RUNS=100000 of them'
	@echo 'make cover      line coverage of lib/ by the tests'
	@echo 'make bench      speed, as ratios to bare loops; renews the growth table of docs/performance.md'
	@echo 'make tutorial   renews what the commands of docs/tutorial.md print'
	@echo 'make validation renews docs/validation.md, the checks against published values'
	@echo 'make docs       the reference of the public headers: build/docs/html'
	@echo 'make abi        holds the libraries against those of the last release; make abi-renew writes its description'
	@echo 'make deb        Debian packages, in build/deb; make deb-check tries them in a fresh Debian (root)'
	@echo 'make format     formats every source file'
	@echo 'make install    into DESTDIR and PREFIX (/usr/local); make uninstall takes it away'
	@echo 'make clean      removes build/'
	@echo 'Variables: MODE=release|debug|asan|tsan|valgrind|cover  CC  CFLAGS  LDFLAGS  PREFIX  DESTDIR  JOBS'
	@echo 'asan, tsan, valgrind: UNITS="test_box test_snow" runs only these'

all: $(BUILD)/pushcycle $(ARCHIVES) $(SHARED) $(BUILD)/reference/done

# Compiling

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(PC_CPPFLAGS) $(CPPFLAGS) $(PKG_CFLAGS) $(PC_CFLAGS) -MMD -MP -c $< -o $@

$(BUILD)/gen/starter_yaml.inc: scenarios/starter.yaml tools/embed.sh
$(BUILD)/gen/starter_feet_yaml.inc: scenarios/starter-feet.yaml tools/embed.sh
$(BUILD)/gen/ferry_terminal_yaml.inc: scenarios/ferry-terminal.yaml tools/embed.sh
$(GENERATED):
	@mkdir -p $(@D)
	sh tools/embed.sh $(basename $(@F)) $< >$@.part
	@mv $@.part $@
$(BUILD)/lib/io/starter.o: $(GENERATED)

# Pages for a browser: page.css becomes gen/page_css.inc, with its hash for the content security policy.
define embed_web
$(BUILD)/gen/$(subst .,_,$(notdir $(1))).inc: $(1) tools/embed.sh
	@mkdir -p $$(@D)
	sh tools/embed.sh $(if $(filter %.html,$(1)),,--sha256) $$(basename $$(@F)) $$< >$$@.part
	@mv $$@.part $$@
$(BUILD)/lib/io/web.o: $(BUILD)/gen/$(subst .,_,$(notdir $(1))).inc
endef
$(foreach file,$(WEB_SRC),$(eval $(call embed_web,$(file))))

$(BUILD)/libpushcycle.a: $(call objects,$(CORE_SRC))
	@rm -f $@
	ar rcs $@ $^

$(BUILD)/libpushcycle-io.a: $(call objects,$(IO_SRC))
	@rm -f $@
	ar rcs $@ $^

$(BUILD)/libpushcycle.so: $(call objects,$(CORE_SRC))
	$(LINK) -shared -Wl,-soname,$(@F).$(SOVERSION) -Wl,--no-undefined $^ -o $@.$(VERSION) $(CORE_LIBS)
	@ln -sf $(@F).$(VERSION) $@.$(SOVERSION)
	@ln -sf $(@F).$(SOVERSION) $@

$(BUILD)/libpushcycle-io.so: $(call objects,$(IO_SRC)) $(BUILD)/libpushcycle.so
	$(LINK) -shared -Wl,-soname,$(@F).$(SOVERSION) -Wl,--no-undefined $(filter %.o,$^) -o $@.$(VERSION) \
	  -L$(BUILD) -lpushcycle $(IO_LIBS) -lm
	@ln -sf $(@F).$(VERSION) $@.$(SOVERSION)
	@ln -sf $(@F).$(SOVERSION) $@

$(BUILD)/pushcycle: $(call objects,$(CLI_SRC)) $(ARCHIVES)
	$(LINK) $^ -o $@ $(WEB_LIBS) $(IO_LIBS) $(CORE_LIBS)

$(BUILD)/tests/%: $(BUILD)/tests/unit/%.o $(call objects,$(SUPPORT_SRC)) $(ARCHIVES)
	@mkdir -p $(@D)
	$(LINK) $^ -o $@ -lcmocka $(IO_LIBS) $(CORE_LIBS)

# Sanitizers and valgrind have a malloc of their own: there only our own calls can be made to fail.
WRAP_MODES := asan tsan valgrind
$(call objects,tests/alloc/fail_alloc.c): PC_CPPFLAGS += $(if $(filter $(MODE),$(WRAP_MODES)),-DPC_ALLOC_OURS)
$(BUILD)/tests/test_alloc_%: $(BUILD)/tests/alloc/test_alloc_%.o $(call objects,$(ALLOC_PARTS) $(SUPPORT_SRC)) $(ARCHIVES) | tests/alloc/wraps.opt
	@mkdir -p $(@D)
	$(LINK) @tests/alloc/wraps.opt $^ -o $@ -lcmocka $(IO_LIBS) $(CORE_LIBS)

# A target with the inputs that are kept, and (mode fuzz) with libFuzzer, which makes them up.
$(BUILD)/tests/fuzz_%: $(BUILD)/tests/fuzz/fuzz_%.o $(call objects,tests/fuzz/fuzz.c tests/fuzz/replay.c tests/support/corpus.c) $(ARCHIVES)
	@mkdir -p $(@D)
	$(LINK) $^ -o $@ -lcmocka $(IO_LIBS) $(CORE_LIBS)

$(BUILD)/fuzz_%: $(BUILD)/tests/fuzz/fuzz_%.o $(call objects,tests/fuzz/fuzz.c) $(ARCHIVES)
	$(LINK) -fsanitize=fuzzer $^ -o $@ $(IO_LIBS) $(CORE_LIBS)

$(BUILD)/words: $(call objects,tests/fuzz/words.c) $(ARCHIVES)
	$(LINK) $^ -o $@ $(IO_LIBS) $(CORE_LIBS)

$(BUILD)/hashes: $(call objects,tests/hashes.c tests/support/scene.c) $(BUILD)/libpushcycle.a
	$(LINK) $^ -o $@ $(CORE_LIBS)

$(BUILD)/soak: $(call objects,tests/soak.c tests/support/soak.c tests/support/random_scenario.c tests/support/random_site.c) $(BUILD)/libpushcycle.a
	$(LINK) $^ -o $@ $(CORE_LIBS)

# The allocation counter needs every call of the library to go through the wrapper.
$(BUILD)/bench/growth: $(call objects,bench/growth.c tests/support/scene.c) $(ARCHIVES)
	$(LINK) $^ -o $@ $(IO_LIBS) $(CORE_LIBS)

$(BUILD)/bench/bench: $(call objects,bench/bench.c tests/support/scene.c) $(ARCHIVES)
	$(LINK) -Wl,--wrap=malloc,--wrap=calloc,--wrap=realloc $^ -o $@ $(IO_LIBS) $(CORE_LIBS)

tests: $(UNIT_BIN)
objects: $(call objects,$(SOURCES))

# Manual pages and completion, from the tables of the command: its objects, but for main().
REFERENCE := $(BUILD)/reference
COMMANDS := $(shell sed -n 's/^    {"\([a-z-]*\)", ".*/\1/p' cli/main.c)
MAN1 := pushcycle.1 $(addsuffix .1,$(addprefix pushcycle-,$(COMMANDS)))
MAN5 := pushcycle-scenario.5
RELEASED := $(shell sed -n 's/^\#\# .*\([0-9]\{4\}-[0-9][0-9]-[0-9][0-9]\).*/\1/p' CHANGELOG.md 2>/dev/null | head -n 1)

$(BUILD)/gen/no_main.o: cli/main.c
	@mkdir -p $(@D)
	$(CC) $(PC_CPPFLAGS) -Icli -Dmain=pushcycle_main $(CPPFLAGS) $(PKG_CFLAGS) $(PC_CFLAGS) -MMD -MP -c $< -o $@

$(REFERENCE)/reference: $(call objects,$(REFERENCE_SRC) $(filter-out cli/main.c,$(CLI_SRC))) $(BUILD)/gen/no_main.o $(ARCHIVES)
	@mkdir -p $(@D)
	$(LINK) $^ -o $@ $(WEB_LIBS) $(IO_LIBS) $(CORE_LIBS)

$(REFERENCE)/done: $(REFERENCE)/reference CHANGELOG.md
	$< $(REFERENCE) $(RELEASED)
	@touch $@

# Using and testing

demo:
	@sh tools/deps.sh build
	@$(AGAIN) -j$(JOBS) command
	$(BUILD)/pushcycle compare
	$(BUILD)/pushcycle compare --quiet --loader 'small loader' --layout 'three piles'
	$(BUILD)/pushcycle limits --quiet
	$(BUILD)/pushcycle run --quiet --layout 'five piles'
	@mkdir -p build/demo
	$(BUILD)/pushcycle draw map --quiet --layout 'three piles' --output build/demo/map.pdf
	$(BUILD)/pushcycle brief --quiet --layout 'three piles' --output build/demo/brief.pdf
	$(BUILD)/pushcycle report --quiet --output build/demo/report.html
	$(BUILD)/pushcycle replay --quiet --layouts 'one pile,three piles' --output build/demo/night.html
	@echo 'To look at, in build/demo: map.pdf brief.pdf report.html night.html; and try: $(BUILD)/pushcycle board'

test:
	@sh tools/deps.sh build test docs browser
	@$(AGAIN) -j$(JOBS) all tests
	@MAKE='$(MAKE)' CC='$(CC)' JOBS='$(JOBS)' sh tests/all.sh $(BUILD) $(UNIT_BIN)

test-browser:
	@sh tools/deps.sh build browser
	@$(AGAIN) -j$(JOBS) command
	@sh tests/browser/run.sh $(BUILD)/pushcycle
# What the libraries for letters do, and we can not mend.
LSAN := suppressions=$(CURDIR)/tests/suppress/lsan.txt:print_suppressions=0

UNITS ?= $(notdir $(UNIT_BIN))
asan:
	@sh tools/deps.sh build test
	@$(AGAIN) -j$(JOBS) MODE=asan command tests
	@LSAN_OPTIONS=$(LSAN) ASAN_OPTIONS=allocator_may_return_null=1 sh tests/units.sh build/asan $(UNITS)
	@LSAN_OPTIONS=$(LSAN) python3 tests/run_cli.py build/asan/pushcycle

tsan:
	@sh tools/deps.sh build test
	@$(AGAIN) -j$(JOBS) MODE=tsan tests
	@SECONDS_EACH=1800 TSAN_OPTIONS="ignore_noninstrumented_modules=1 halt_on_error=1 allocator_may_return_null=1" sh tests/units.sh build/tsan $(UNITS)

SOAK_RUNS ?= 100000
SOAK_FIRST ?= 1
soak:
	@sh tools/deps.sh build
	@$(AGAIN) -j$(JOBS) $(BUILD)/soak
	@sh tests/soak.sh $(BUILD)/soak $(SOAK_FIRST) $(SOAK_RUNS) $(JOBS)

FUZZ_SECONDS ?= 60
FUZZ ?= $(patsubst tests/fuzz/fuzz_%.c,%,$(FUZZ_SRC))
fuzz:
	@sh tools/deps.sh build test fuzz
	@$(AGAIN) -j$(JOBS) MODE=fuzz CC=clang build/fuzz/words $(addprefix build/fuzz/fuzz_,$(FUZZ))
	@sh tests/fuzz/run.sh build/fuzz $(FUZZ_SECONDS) $(JOBS) $(FUZZ)

valgrind:
	@sh tools/deps.sh build test valgrind
	@$(AGAIN) -j$(JOBS) MODE=valgrind tests
	@SECONDS_EACH=3600 RUNNER='valgrind --suppressions=$(CURDIR)/tests/suppress/valgrind.txt --quiet --error-exitcode=9 --leak-check=full' sh tests/units.sh build/valgrind $(UNITS)

cover:
	@sh tools/deps.sh build test cover
	@$(AGAIN) -j$(JOBS) MODE=cover command tests
	@find build/cover -name '*.gcda' -delete
	@sh tests/units.sh build/cover $(notdir $(UNIT_BIN)) >build/cover/units.log 2>&1 || grep FAILED: build/cover/units.log
	@python3 tests/run_cli.py build/cover/pushcycle >build/cover/cli.log || grep FAILED build/cover/cli.log
	gcovr --root . --object-directory build/cover --filter 'lib/' --filter 'cli/' build/cover
	@echo 'The library alone, lines and branches:'
	@gcovr --root . --object-directory build/cover --filter 'lib/' --print-summary --output build/cover/lib.txt build/cover

bench:
	@sh tools/deps.sh build
	@$(AGAIN) $(BUILD)/bench/bench $(BUILD)/bench/growth
	$(BUILD)/bench/bench
	$(BUILD)/bench/growth >$(BUILD)/bench/growth.md
	@sh tools/renew.sh docs/performance.md growth $(BUILD)/bench/growth.md

tutorial: $(BUILD)/pushcycle
	python3 tests/tutorial.py $(BUILD)/pushcycle docs/tutorial.md --renew

layers:
	@sh tools/layers.sh

# Where gcc compiles for lint. A fresh tree may take $(BUILD), whose objects are then there for the tests: elsewhere gcc
# would say nothing of what was compiled before.
LINT_BUILD ?= build/lint
lint:
	@sh tools/deps.sh build test lint
	@BUILD=$(LINT_BUILD) MAKE='$(MAKE)' JOBS=$(JOBS) FLAGS='-std=c17 $(WARN) $(subst $(BUILD),$(LINT_BUILD),$(PC_CPPFLAGS)) $(PKG_CFLAGS)' \
	  sh tools/lint.sh $(SOURCES) $(HEADERS)

# The page of checks against published values: the unit tests that have some, run once more.
VALIDATED := $(patsubst tests/unit/%.c,%,$(shell grep -l '^\#include "\(validation\|published\).h"' $(UNIT_SRC)))
validation:
	@sh tools/deps.sh build test
	@$(AGAIN) -s -j$(JOBS) $(addprefix $(BUILD)/tests/,$(VALIDATED))
	@rm -f $(BUILD)/validation.tsv
	@PC_VALIDATION=$(abspath $(BUILD))/validation.tsv sh tests/units.sh $(BUILD) $(VALIDATED) >$(BUILD)/validation.log 2>&1 || \
	  { grep -E 'FAILED|LINE' $(BUILD)/validation.log >&2; exit 1; }
	@sh tools/validation.sh write $(BUILD)/validation.tsv

docs:
	@sh tools/deps.sh docs
	@sh tools/docs.sh build/docs $(VERSION) $(sort $(PUBLIC))

abi abi-renew:
	@sh tools/deps.sh build abi
	@$(AGAIN) -s -j$(JOBS) MODE=abi all
	@MAKE='$(MAKE)' OPT='$(OPT_abi)' sh tools/abi.sh build/abi $(VERSION) $(if $(filter abi-renew,$@),renew,check)

deb:
	@sh tools/deps.sh build deb
	@JOBS=$(JOBS) sh tools/deb.sh build $(VERSION)

deb-check:
	@sh tools/deps.sh deb
	@sh tools/deb.sh check

format:
	clang-format -i $(SOURCES) $(HEADERS)

# Installing

# Any of these folders may have blanks in its name.
install: all
	install -d "$(DESTDIR)$(MANDIR)/man1" "$(DESTDIR)$(MANDIR)/man5" "$(DESTDIR)$(BASHDIR)" "$(DESTDIR)$(ZSHDIR)"
	install -m 644 $(addprefix $(REFERENCE)/,$(MAN1)) "$(DESTDIR)$(MANDIR)/man1/"
	install -m 644 $(addprefix $(REFERENCE)/,$(MAN5)) "$(DESTDIR)$(MANDIR)/man5/"
	install -m 644 $(REFERENCE)/pushcycle.bash "$(DESTDIR)$(BASHDIR)/pushcycle"
	install -m 644 $(REFERENCE)/_pushcycle "$(DESTDIR)$(ZSHDIR)/"
	install -d "$(DESTDIR)$(BINDIR)" "$(DESTDIR)$(LIBDIR)/pkgconfig"
	install -m 755 $(BUILD)/pushcycle "$(DESTDIR)$(BINDIR)/"
	install -m 644 $(ARCHIVES) "$(DESTDIR)$(LIBDIR)/"
	for lib in libpushcycle libpushcycle-io; do \
	  install -m 755 $(BUILD)/$$lib.so.$(VERSION) "$(DESTDIR)$(LIBDIR)/" && \
	  ln -sf $$lib.so.$(VERSION) "$(DESTDIR)$(LIBDIR)/$$lib.so.$(SOVERSION)" && \
	  ln -sf $$lib.so.$(SOVERSION) "$(DESTDIR)$(LIBDIR)/$$lib.so" || exit 1; done
	for header in $(PUBLIC); do \
	  install -D -m 644 lib/$$header "$(DESTDIR)$(INCLUDEDIR)/pushcycle/$$header" || exit 1; done
	for name in pushcycle pushcycle-io; do \
	  sed -e 's|@PREFIX@|$(PREFIX)|' -e 's|@LIBDIR@|$(patsubst $(PREFIX)/%,$${prefix}/%,$(LIBDIR))|' \
	    -e 's|@INCLUDEDIR@|$(patsubst $(PREFIX)/%,$${prefix}/%,$(INCLUDEDIR))|' -e 's|@VERSION@|$(VERSION)|' \
	    lib/$$name.pc.in >"$(DESTDIR)$(LIBDIR)/pkgconfig/$$name.pc" || exit 1; done

uninstall:
	rm -f "$(DESTDIR)$(BINDIR)/pushcycle" "$(DESTDIR)$(BASHDIR)/pushcycle" "$(DESTDIR)$(ZSHDIR)/_pushcycle"
	for page in $(addprefix man1/,$(MAN1)) $(addprefix man5/,$(MAN5)); do rm -f "$(DESTDIR)$(MANDIR)/$$page" || exit 1; done
	for lib in libpushcycle libpushcycle-io; do for end in a so so.$(SOVERSION) so.$(VERSION); do \
	  rm -f "$(DESTDIR)$(LIBDIR)/$$lib.$$end" || exit 1; done; done
	rm -f "$(DESTDIR)$(LIBDIR)/pkgconfig/pushcycle.pc" "$(DESTDIR)$(LIBDIR)/pkgconfig/pushcycle-io.pc"
	for header in $(PUBLIC); do rm -f "$(DESTDIR)$(INCLUDEDIR)/pushcycle/$$header" || exit 1; done
	-for folder in $(sort $(filter-out ./,$(dir $(PUBLIC)))) ''; do \
	  rmdir "$(DESTDIR)$(INCLUDEDIR)/pushcycle/$$folder" 2>/dev/null; done; true

clean:
	rm -rf build

.PHONY: command help all tests objects demo test test-browser asan tsan fuzz soak valgrind cover bench docs validation abi abi-renew deb deb-check tutorial layers lint format install uninstall clean
.PRECIOUS: $(BUILD)/%.o
.DELETE_ON_ERROR:
-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)
