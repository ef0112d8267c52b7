# Moonstand. `make run` opens the demo night, `make check` runs every test; both install what they need.

ifeq ($(origin CC),default)
CC := gcc
endif
PREFIX ?= /usr/local
BUILD ?= build
SANITIZE ?=

PACKAGES_RUN := gcc libc6-dev make pkg-config mawk libncurses-dev libgps-dev libcjson-dev liberfa-dev libutf8proc-dev libjpeg62-turbo-dev ncurses-base tzdata
PACKAGES_CHECK := $(PACKAGES_RUN) binutils libcmocka-dev tmux gpsd procps python3-icalendar clang mandoc zsh desktop-file-utils dpkg-dev exiv2

LIBRARIES := ncursesw libgps libcjson erfa libutf8proc
CFLAGS ?= -O2 -g
# Empty on a machine that has nothing yet; what needs them runs in a make of its own after deps.
LIBRARY_CFLAGS := $(shell pkg-config --cflags $(LIBRARIES) 2>/dev/null)
# Linked in from their archives: each shared library costs a third of a millisecond before the first page, and libgps
# brings seven more with it. gps_open's way over D-Bus is never taken and left out.
STATIC_LDLIBS := -Wl,--defsym=gps_dbus_open=0,--defsym=gps_dbus_mainloop=0 -l:libgps.a -l:liberfa.a -l:libutf8proc.a -l:libjpeg.a -l:libncursesw.a -l:libtinfo.a
LIBRARY_LDLIBS := $(filter-out -lgps -lerfa -lutf8proc -lncursesw -ltinfo,$(shell pkg-config --libs $(LIBRARIES) 2>/dev/null)) $(STATIC_LDLIBS)
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes -Wvla -Wformat=2 -Wundef
# Whole constants are enums; newer clang minds them beside doubles.
WARNINGS += -Wno-enum-float-conversion
ifdef WERROR
WARNINGS += -Werror
endif
ifneq ($(SANITIZE),)
SANITIZE_FLAGS := -fsanitize=$(SANITIZE) -fno-sanitize-recover=all -fno-omit-frame-pointer
endif
# The same numbers from every compiler and machine: no fused operations, and on i386 SSE2 in place of the x87,
# which computes with more digits than a double keeps.
# Nobody asks errno of a root.
NUMBERS := -ffp-contract=off -fno-math-errno
ifneq ($(filter i386-% i486-% i586-% i686-%,$(shell $(CC) -dumpmachine 2>/dev/null)),)
NUMBERS += -msse2 -mfpmath=sse
endif
# _FILE_OFFSET_BITS: large disks and file systems also on 32-bit machines.
ALL_CFLAGS = -std=c17 -D_GNU_SOURCE -D_FILE_OFFSET_BITS=64 -Iinclude -I$(BUILD)/gen $(WARNINGS) $(NUMBERS) $(SANITIZE_FLAGS) \
	$(LIBRARY_CFLAGS) -DMOONSTAND_THEMES='"$(PREFIX)/share/moonstand/themes"' $(CFLAGS)
ALL_LDFLAGS = $(SANITIZE_FLAGS) $(LDFLAGS)
LDLIBS = $(LIBRARY_LDLIBS) -lm -lpthread

ROOMS := base sky eclipse photo field eye night words store devices report screen app
SOURCES := $(foreach room,$(ROOMS),$(wildcard src/$(room)/*.c))
# Each room is compiled as one file, in a quarter of the time; for that a name of file scope has one meaning in its
# room. By themselves: the edges to the machine, in whose place a test puts its own, or with WHOLE= every file.
WHOLE ?= 1
EDGES := $(wildcard src/devices/*.c) $(patsubst %,src/%.c,app/main app/clock app/loop app/look screen/term)
INNER := $(if $(WHOLE),$(filter-out $(EDGES),$(SOURCES)))
WHOLE_ROOMS := $(foreach room,$(ROOMS),$(if $(filter src/$(room)/%,$(INNER)),$(room)))
OBJECTS := $(WHOLE_ROOMS:%=$(BUILD)/%.o) $(patsubst src/%.c,$(BUILD)/%.o,$(filter-out $(INNER),$(SOURCES)))
# $(1): files
as_one = $(patsubst %,-include %,$(1)) -x c /dev/null
PROGRAM := $(BUILD)/moonstand
GENERATED := $(BUILD)/gen/moon_terms.inc
# Everything but main() goes into the tests.
LIBRARY_OBJECTS := $(filter-out $(BUILD)/app/main.o,$(OBJECTS))
LIBRARY := $(BUILD)/moonstand.a

TEST_SOURCES := $(wildcard tests/*/test_*.c)
TESTS := $(TEST_SOURCES:tests/%.c=$(BUILD)/tests/%)
# Fuzzing drivers: with a main() that replays their corpus, or with libFuzzer's (make fuzz).
FUZZERS := $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/fuzz/fuzz_*.c))
FUZZ_MAIN ?= $(BUILD)/tests/fuzz/replay.o
# Rooms of numbers alone, in which a fuzzer finds no way to anywhere and spends most of its time: as they are
# shipped, without its counters.
PLAIN_ROOMS ?=
$(foreach room,$(PLAIN_ROOMS),$(BUILD)/$(room)/%.o): SANITIZE_FLAGS :=
$(foreach room,$(PLAIN_ROOMS),$(BUILD)/$(room)/%.o): CFLAGS := -O2 -g
# Files of numbers that are fuzzed for themselves: without the tracing of comparisons, which took most of the time.
PLAIN_COMPARES ?=
$(PLAIN_COMPARES:%=$(BUILD)/%.o): SANITIZE_FLAGS += -fno-sanitize-coverage=trace-cmp
$(PLAIN_COMPARES:%=$(BUILD)/%.o): CFLAGS := -O2 -g

COMPILED := $(ROOMS:%=compile/%)

.PHONY: FORCE all compile $(COMPILED) deps deps-check run check lint bless install uninstall clean programs tests fuzzers fuzz fuzz-eye faults kills mutants storms truth eye-table eye-night eye-cost bench soak coverage analyze deb
.DELETE_ON_ERROR:
.SECONDARY:

all: $(PROGRAM)

# Two hundred tests are linked: in half the time where binutils still brings its second linker.
TEST_LINKER := $(if $(shell ld.gold --version 2>/dev/null),-fuse-ld=gold)

# What a compiler has to say, and no code.
compile: $(COMPILED)
$(COMPILED): compile/%: $(GENERATED)
	$(CC) $(ALL_CFLAGS) -fsyntax-only $(call as_one,$(filter src/$*/%,$(SOURCES)))

# Addresses that the loader puts in are named in a hundredth of the room.
$(PROGRAM): $(OBJECTS)
	$(CC) $(ALL_LDFLAGS) -Wl,-z,pack-relative-relocs -o $@ $^ $(LDLIBS)

$(BUILD)/%.o: src/%.c $(GENERATED)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<

$(foreach room,$(WHOLE_ROOMS),$(eval $(BUILD)/$(room).o: $(filter src/$(room)/%,$(INNER))))
$(WHOLE_ROOMS:%=$(BUILD)/%.o): $(BUILD)/%.o: $(GENERATED)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -MMD -MP -c -o $@ $(call as_one,$(filter src/$*/%,$(INNER)))

# Local time until 2100 also on 32-bit machines. For these alone: libgps has a 32-bit time_t there.
$(BUILD)/store/zone_load.o $(BUILD)/store.o $(BUILD)/tests/store/test_zone_load compile/store: ALL_CFLAGS += -D_TIME_BITS=64

# Most of the time to the first page is spent in these.
$(foreach room,sky eclipse photo night,$(BUILD)/$(room).o $(BUILD)/$(room)/%.o): override CFLAGS := $(CFLAGS:-O2=-O3)

# Where the themes are is compiled in.
$(BUILD)/store/path.o $(BUILD)/store.o: $(BUILD)/gen/prefix
$(BUILD)/gen/prefix: FORCE
	@mkdir -p $(@D)
	@echo '$(PREFIX)' | cmp -s - $@ || echo '$(PREFIX)' > $@

# The published series of the Moon, cut to what the stated accuracy needs, as a C table.
$(BUILD)/gen/moon_terms.inc: src/sky/moon_terms.csv src/sky/moon_terms.awk
	@mkdir -p $(@D)
	LC_ALL=C awk -f src/sky/moon_terms.awk $< > $@

$(LIBRARY): $(LIBRARY_OBJECTS)
	@rm -f $@
	ar rcsT $@ $^

$(BUILD)/tests/%: tests/%.c $(LIBRARY)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $(ALL_LDFLAGS) $(TEST_CFLAGS) -Itests -DTEST_DATA='"$(CURDIR)/tests/data"' -MMD -MP -o $@ $< $(LIBRARY) $(TEST_LINKER) $(LDLIBS) -lcmocka

# Most tests compute little themselves, so that it pays to compile them as they are: TEST_CFLAGS=-O0. These do more.
COMPUTING := $(patsubst %,tests/%.c,app/test_picture eye/shoot eye/table eye/test_disc eye/test_held night/test_rounds \
	photo/test_wide screen/test_dashboard)
$(COMPUTING:tests/%.c=$(BUILD)/tests/%): override TEST_CFLAGS :=

# What can fail, and what the night's time hangs on, is called through a twin in the test.
FAULTS := $(BUILD)/tests/faults/test_faults
FAILING = $(shell sed -n 's/^[A-Z_]*CALL.[^,]*, \([a-z0-9_]*\),.*/\1/p' tests/faults/calls.h)
TWINS = $(FAILING) clock_gettime pthread_cond_wait pthread_cond_timedwait pthread_join dashboard_draw
$(FAULTS): ALL_LDFLAGS += $(TWINS:%=-Wl,--wrap=%)

$(BUILD)/tests/fuzz/replay.o: tests/fuzz/replay.c tests/fuzz/fuzz.h
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -DFUZZ_CORPUS='"$(CURDIR)/tests/fuzz/corpus"' -c -o $@ $<

$(BUILD)/tests/fuzz/%: tests/fuzz/%.c $(wildcard tests/fuzz/*.h) $(LIBRARY) $(filter %.o,$(FUZZ_MAIN))
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $(ALL_LDFLAGS) $(TEST_CFLAGS) -o $@ $< $(FUZZ_MAIN) $(LIBRARY) $(TEST_LINKER) $(LDLIBS)

$(BUILD)/tests/fuzz/fuzz_live: ALL_LDFLAGS += -Wl,--wrap=night_follow

fuzzers: $(FUZZERS)

tests: $(PROGRAM) $(TESTS) $(FUZZERS) $(BUILD)/tests/truth/truth $(BUILD)/tests/eye/table $(BUILD)/tests/eye/shoot $(BUILD)/tests/night/await

-include $(OBJECTS:.o=.d) $(TESTS:=.d)

# Asks dpkg first; apt-get only sees what is missing. $(1): packages.
define install_missing
	@missing=""; for package in $(1); do \
		dpkg-query -W -f '$${Status}' $$package 2>/dev/null | grep -q 'ok installed' || missing="$$missing $$package"; \
	done; \
	if [ -n "$$missing" ]; then \
		as_root=""; if [ "$$(id -u)" -ne 0 ]; then as_root=$$(command -v sudo) || { echo "need root for: apt-get install$$missing" >&2; exit 1; }; fi; \
		echo "installing:$$missing"; \
		$$as_root apt-get update -qq || true; \
		$$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $$missing; \
	fi
endef

deps:
	$(call install_missing,$(PACKAGES_RUN))

deps-check:
	$(call install_missing,$(PACKAGES_CHECK))

run: deps
	@$(MAKE) --no-print-directory -s all
	@$(BUILD)/moonstand rehearse --demo

check: deps-check
	@tests/check.sh

lint:
	@tests/lint.sh $(BUILD)

# What compilers do not see: gcc's analyzer and clang-tidy (.clang-tidy) file by file, cppcheck over all.
ANALYZED := $(SOURCES:src/%.c=analyze/%)
analyze:
	$(call install_missing,$(PACKAGES_RUN) clang-tidy cppcheck)
	@cppcheck --quiet --enable=warning,performance,portability --inline-suppr --error-exitcode=1 --std=c11 \
		-Iinclude -I$(BUILD)/gen -DGPSD_API_MAJOR_VERSION=14 src
	@$(MAKE) --no-print-directory -s -k -j$$(nproc) $(ANALYZED)
	@echo "analyze: clean"

$(ANALYZED): analyze/%: src/%.c $(GENERATED)
	gcc $(ALL_CFLAGS) -fanalyzer -Werror -c -o /dev/null $<
	clang-tidy --quiet $< -- $(ALL_CFLAGS) 2>/dev/null

# Lines that the units reach, by room.
coverage: deps-check
	@$(MAKE) --no-print-directory -s WHOLE= CC=gcc BUILD=$(BUILD)/coverage LDFLAGS=--coverage \
		CFLAGS='-O0 -g --coverage -Wno-format-truncation' tests
	@tests/coverage.sh $(BUILD)/coverage

# Every driver for SECONDS under ASan, UBSan and LSan; prints how many inputs were run.
FUZZ_BUILD = $(MAKE) --no-print-directory -s WHOLE= TEST_LINKER= CC=clang BUILD=$(BUILD)/fuzz SANITIZE=address,undefined,fuzzer-no-link \
	CFLAGS='-O1 -g' LDFLAGS= FUZZ_MAIN=-fsanitize=fuzzer PLAIN_ROOMS='sky eclipse photo' \
	PLAIN_COMPARES='eye/disc eye/shape eye/vote eye/measure'
fuzz: SECONDS ?= 60
fuzz:
	$(call install_missing,$(PACKAGES_RUN) clang libclang-rt-dev)
	@$(FUZZ_BUILD) fuzzers
	@tests/fuzz/fuzz.sh $(BUILD)/fuzz $(SECONDS)

# Ten million inputs for what reads a picture's bytes and what finds the disc in its pixels: tests/eye/FUZZED.md.
fuzz-eye: READER ?= 9900000
fuzz-eye: FINDER ?= 100000
fuzz-eye:
	$(call install_missing,$(PACKAGES_RUN) clang libclang-rt-dev)
	@$(FUZZ_BUILD) $(BUILD)/fuzz/tests/fuzz/fuzz_metadata $(BUILD)/fuzz/tests/fuzz/fuzz_disc
	@tests/fuzz/fuzz.sh $(BUILD)/fuzz 0 metadata=$(READER) disc=$(FINDER)

# Every call of a short night fails in its turn: some twenty minutes. EACH=few: not every turn, a minute.
# Ends with the table of what was tried, how often, with which result.
faults: EACH ?= all
faults: deps-check
	@$(MAKE) --no-print-directory -s $(FAULTS)
	@printf '%s\n' $(FAILING) | MOONSTAND_FAULTS=$(EACH) xargs -P "$$(nproc)" -n 1 $(FAULTS) | \
		awk -v calls=$(words $(FAILING)) 'BEGIN { print "| the call that fails    | times | faults |\n|-|-:|-:|" } \
		/^\|/ { print; rows++; times += $$4; faults += $$6 } \
		END { printf "| %-22s | %5d | %6d |\n", rows " of " calls " calls", times, faults; exit faults || rows < calls }'

# KILLS of a writer of the journal, and of a session, at random points.
kills: KILLS ?= 1000
kills: deps-check
	@$(MAKE) --no-print-directory -s $(BUILD)/tests/store/test_journal $(BUILD)/tests/app/test_kills
	@MOONSTAND_KILLS=$(KILLS) $(BUILD)/tests/store/test_journal
	@MOONSTAND_KILLS=$(KILLS) $(BUILD)/tests/app/test_kills

# MINUTES of the live program under all that a night can do to it, with sanitizers and clocks that can be moved.
STORMS := build/sanitized
storms: MINUTES ?= 60
storms: SEED ?= 20281231
storms: deps-check
	@$(MAKE) --no-print-directory -s CC=gcc BUILD=$(STORMS) SANITIZE=address,undefined \
		CFLAGS='-O1 -g -Wno-format-truncation' $(STORMS)/tests/storms/moonstand
	@tests/storms/storm.py $(STORMS)/tests/storms/moonstand $(MINUTES) $(SEED)

$(BUILD)/tests/storms/moonstand: tests/storms/clock.c $(OBJECTS)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -o $@ $^ $(ALL_LDFLAGS) -Wl,--wrap=clock_gettime,--wrap=timerfd_settime $(LDLIBS)

# COUNT breaks of the sources, one at a time: which of them do the units beside notice? An hour or two; a part of it:
# make mutants COUNT=60 ONLY='photo night'. AGAIN=1: those that have survived, tests/mutants/SURVIVORS.md.
mutants: COUNT ?= 300
mutants: SEED ?= 1
mutants: deps-check
	@$(MAKE) --no-print-directory -s $(GENERATED) $(BUILD)/tests/eye/table
	@nice -n 5 tests/mutants/mutants.py $(BUILD)/mutants $(COUNT) $(SEED) \
		"$(subst ",\",$(CC) $(filter-out -I$(BUILD)/gen,$(ALL_CFLAGS)) -I$(CURDIR)/$(BUILD)/gen)" \
		"$(shell pkg-config --libs $(LIBRARIES) 2>/dev/null) -ljpeg -lm -lpthread" $(ONLY)

# Our numbers beside published ones: tests/truth/TRUTH.md.
truth: deps
	@$(MAKE) --no-print-directory -s $(BUILD)/tests/truth/truth
	@$(BUILD)/tests/truth/truth

# How well a disc is found in some 800 made-up pictures, beside what is promised: tests/eye/TABLE.md.
eye-table: deps
	@$(MAKE) --no-print-directory -s $(BUILD)/tests/eye/table
	@$(BUILD)/tests/eye/table | tee tests/eye/TABLE.md

# A play of pictures from before U1 into totality, three rigs at forty times the speed: four minutes.
eye-night: deps
	@$(MAKE) --no-print-directory -s $(PROGRAM) $(BUILD)/tests/eye/shoot
	@home=$$(mktemp -d) && { tests/night/seen.py $(PROGRAM) $(BUILD)/tests/eye/shoot $$home umbra; \
		status=$$?; rm -rf $$home; exit $$status; }

# What it costs to watch three rigs that each deliver 24 MP every ten seconds: tests/eye/COST.md.
eye-cost: SECONDS ?= 60
eye-cost: deps
	@$(MAKE) --no-print-directory -s $(PROGRAM) $(BUILD)/tests/eye/shoot
	@home=$$(mktemp -d) && { tests/eye/cost.py $(PROGRAM) $(BUILD)/tests/eye/shoot $$home $(SECONDS) >$$home/cost; \
		status=$$?; cat $$home/cost; [ ! -s $$home/cost ] || cp $$home/cost tests/eye/COST.md; rm -rf $$home; exit $$status; }

# What the program costs, beside others; a reference library comes in for this target alone.
BENCH := $(BUILD)/tests/bench
bench: deps
	$(call install_missing,libnova-dev procps)
	@$(MAKE) --no-print-directory -s all $(BENCH)/bench $(BENCH)/nova $(BENCH)/clock $(BENCH)/measure
	@tests/bench/bench.sh $(BUILD)

# They are not part of the program: nothing of it is linked to them.
$(BENCH)/nova $(BENCH)/clock $(BENCH)/measure: $(BENCH)/%: tests/bench/%.c tests/bench/search.h
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -o $@ $< $(ALL_LDFLAGS) $(if $(findstring nova,$@),-lnova) $(if $(findstring clock,$@),-lncursesw -ltinfo) -lutil -lm

# NIGHTS nights of five hours at the highest speed, then MINUTES of the dashboard at the pace of life.
soak: NIGHTS ?= 100
soak: MINUTES ?= 0
soak: deps
	@$(MAKE) --no-print-directory -s all $(BENCH)/soak $(BENCH)/measure
	@$(BENCH)/soak $(NIGHTS)
	@[ $(MINUTES) = 0 ] || TERM=xterm-256color tests/bench/soak.sh $(BUILD) $(MINUTES)

# Writes anew what is held to the program: golden canvases, the manual's lists, truth table, the README's screen.
# Read the diff before it is committed.
bless: tests
	BLESS=1 $(BUILD)/tests/screen/test_canvas
	BLESS=1 $(BUILD)/tests/screen/test_golden
	BLESS=1 $(BUILD)/tests/report/test_compare
	BLESS=1 $(BUILD)/tests/report/test_nights
	BLESS=1 $(BUILD)/tests/report/test_pictures
	BLESS=1 $(BUILD)/tests/report/test_prints
	BLESS=1 $(BUILD)/tests/report/test_session
	BLESS=1 $(BUILD)/tests/report/test_sites
	BLESS=1 $(BUILD)/tests/store/test_setup_edit
	BLESS=1 $(BUILD)/tests/store/test_setup_keys
	BLESS=1 $(BUILD)/tests/night/test_person
	BLESS=1 $(BUILD)/tests/photo/test_grid
	BLESS=1 $(BUILD)/tests/night/test_ledger
	BLESS=1 $(BUILD)/tests/words/test_sentences
	BLESS=1 $(BUILD)/tests/report/test_tales
	BLESS=1 $(BUILD)/tests/screen/test_tales
	BLESS=1 $(BUILD)/tests/eye/test_held
	BLESS=1 $(BUILD)/tests/eclipse/test_face
	BLESS=1 $(BUILD)/tests/app/test_ask
	BLESS=1 $(BUILD)/tests/app/test_commands
	BLESS=1 $(BUILD)/tests/app/test_live
	BLESS=1 $(BUILD)/tests/app/test_tables
	BLESS=1 $(BUILD)/tests/app/test_watcher
	BLESS=1 tests/night/truth.sh $(BUILD)
	BLESS=1 tests/night/examples.sh $(BUILD)

# Below PREFIX/share.
MANUAL := man/man1/moonstand.1
FOR_BASH := bash-completion/completions/moonstand
FOR_ZSH := zsh/site-functions/_moonstand
DESKTOP := applications/moonstand.desktop
INSTALLED := $(MANUAL) $(FOR_BASH) $(FOR_ZSH) $(DESKTOP)

install: all
	install -D -m 755 $(PROGRAM) $(DESTDIR)$(PREFIX)/bin/moonstand
	install -d $(DESTDIR)$(PREFIX)/share/moonstand/themes
	install -m 644 themes/*.json $(DESTDIR)$(PREFIX)/share/moonstand/themes
	install -d $(foreach file,$(INSTALLED),$(dir $(DESTDIR)$(PREFIX)/share/$(file)))
	sed 's|/usr/local|$(PREFIX)|' src/app/moonstand.1 > $(DESTDIR)$(PREFIX)/share/$(MANUAL)
	install -m 644 src/app/completion.bash $(DESTDIR)$(PREFIX)/share/$(FOR_BASH)
	install -m 644 src/app/completion.zsh $(DESTDIR)$(PREFIX)/share/$(FOR_ZSH)
	install -m 644 src/app/moonstand.desktop $(DESTDIR)$(PREFIX)/share/$(DESKTOP)

uninstall:
	rm -f $(DESTDIR)$(PREFIX)/bin/moonstand $(foreach file,$(INSTALLED),$(DESTDIR)$(PREFIX)/share/$(file))
	rm -rf $(DESTDIR)$(PREFIX)/share/moonstand

# A Debian package of it all, $(BUILD)/deb/moonstand_VERSION_ARCHITECTURE.deb.
deb: deps
	$(call install_missing,dpkg-dev lintian)
	@lintian --fail-on error,warning "$$(src/app/debian/package.sh $(BUILD)/deb)"

clean:
	rm -rf build
