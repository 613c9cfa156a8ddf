# SPDX-License-Identifier: GPL-3.0-or-later
# pushcycle: `make help` lists the targets.

VERSION := 0.1.0
CC ?= cc
MODE ?= release
BUILD ?= build/$(MODE)
OPT_release := -O2
OPT_debug := -O0 -g
OPT_asan := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
OPT_tsan := -O1 -g -fsanitize=thread
OPT_cover := -O0 -g --coverage
OPT ?= $(OPT_$(MODE))
WARN := -Wall -Wextra -Wpedantic -Wconversion -Wshadow
PKGS := gsl geos yaml-0.1 jansson
CFLAGS += -std=c17 $(WARN) $(OPT) -ffp-contract=off -fvisibility=hidden -fPIC -pthread
CPPFLAGS += -Ilib -D_POSIX_C_SOURCE=200809L -DPC_VERSION='"$(VERSION)"'
PKG_CFLAGS = $(shell pkg-config --cflags $(PKGS) 2>/dev/null | sed 's/-I/-isystem /g')
LDLIBS = $(shell pkg-config --libs $(PKGS) 2>/dev/null) -lgeos_c -lm -pthread

CORE_SRC := $(wildcard lib/base/*.c lib/machine/*.c lib/site/*.c lib/sim/*.c lib/study/*.c)
IO_SRC := $(wildcard lib/io/*.c)
CLI_SRC := $(wildcard cli/*.c)
UNIT_SRC := $(wildcard tests/unit/*.c)
SUPPORT_SRC := $(wildcard tests/support/*.c)
objects = $(patsubst %.c,$(BUILD)/%.o,$(1))
UNIT_BIN := $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(UNIT_SRC))

all: $(BUILD)/pushcycle

$(BUILD)/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(CPPFLAGS) $(PKG_CFLAGS) $(CFLAGS) -MMD -MP -c $< -o $@

$(BUILD)/libpushcycle.a: $(call objects,$(CORE_SRC))
	@rm -f $@
	ar rcs $@ $^

$(BUILD)/libpushcycle-io.a: $(call objects,$(IO_SRC))
	@rm -f $@
	ar rcs $@ $^

$(BUILD)/tests/%: $(BUILD)/tests/unit/%.o $(call objects,$(SUPPORT_SRC)) $(BUILD)/libpushcycle-io.a $(BUILD)/libpushcycle.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) $^ -o $@ -lcmocka $(LDLIBS)

.PRECIOUS: $(BUILD)/%.o
-include $(shell find $(BUILD) -name '*.d' 2>/dev/null)
