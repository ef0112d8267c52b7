/* Metadata of hand-made headers, beside what exiv2 (an independent reader) makes of them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include "eye/headers.h"
#include "near.h"

#include <moonstand/eye.h>
#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <stdlib.h>
#include <unistd.h>

static char folder[] = "/tmp/moonstand-eye-XXXXXX";

/* 2028-12-31T17:30:09 */
#define TAKEN 1861896609.0

static struct metadata read_whole(const struct header *header)
{
    struct metadata metadata;
    struct fault fault = {""};
    uint8_t *bytes = malloc(header->size);

    assert_true(header->size <= HEADER_SIZE);
    /* In memory that ends where the file does. */
    memcpy(bytes, header->data, header->size);
    if (metadata_read(bytes, header->size, &metadata, &fault) != 0)
        fail_msg("%s", fault.text);
    free(bytes);
    return metadata;
}

static void check_settings(const struct metadata *metadata)
{
    assert_near(metadata->taken, TAKEN + 0.21, 1e-6);
    assert_int_equal(metadata->taken_decimals, 2);
    assert_near(metadata->offset_min, 60, 0);
    assert_near(metadata->shutter_s, 0.002, 1e-12);
    assert_near(metadata->iso, 400, 0);
    assert_near(metadata->f_number, 6.3, 1e-12);
    assert_near(metadata->focal_mm, 400, 0);
    assert_near(metadata->focal_35mm, 600, 0);
    assert_near(metadata->sensor_px_per_mm, 6000 / 945e-3 / 25.4, 1e-9);
    assert_string_equal(metadata->serial, "0123456789");
}

/* ---- beside exiv2 ---- */

static void write_file(const struct header *header, const char *ending, char path[128])
{
    FILE *out;

    (void)snprintf(path, 128, "%s/picture.%s", folder, ending);
    out = fopen(path, "wb");
    assert_non_null(out);
    assert_int_equal(fwrite(header->data, 1, header->size, out), header->size);
    assert_int_equal(fclose(out), 0);
}

/* The value that exiv2 has for a key, as text; empty: none. */
static void ask_exiv2(const char *path, const char *key, char out[128])
{
    char command[320];
    FILE *in;

    *out = '\0';
    (void)snprintf(command, sizeof command, "exiv2 -q -K %s -Pv %s 2>/dev/null", key, path);
    in = popen(command, "r");
    assert_non_null(in);
    if (!fgets(out, 128, in))
        *out = '\0';
    (void)pclose(in);
    out[strcspn(out, "\n")] = '\0';
}

static double ask_number(const char *path, const char *key)
{
    char text[128];
    double over, under = 1;

    ask_exiv2(path, key, text);
    return sscanf(text, "%lf/%lf", &over, &under) >= 1 ? over / under : NAN;
}

/* Every value that exiv2 finds is ours too. Returns how many it found. */
static int compare(const struct header *header, const char *ending)
{
    struct metadata metadata = read_whole(header);
    const struct {
        const char *key;
        double ours;
    } numbers[] = {
        {"Exif.Photo.ExposureTime", metadata.shutter_s},
        {"Exif.Photo.FNumber", metadata.f_number},
        {"Exif.Photo.ISOSpeedRatings", metadata.iso},
        {"Exif.PanasonicRaw.ISOSpeed", metadata.iso},
        {"Exif.Photo.FocalLength", metadata.focal_mm},
        {"Exif.Photo.FocalLengthIn35mmFilm", metadata.focal_35mm},
        {"Exif.Photo.FocalPlaneXResolution", metadata.sensor_px_per_mm * 25.4},
        {"Exif.Image.Orientation", metadata.orientation},
    };
    char path[128], text[128], taken[TEXT_INSTANT];
    int found = 0;

    write_file(header, ending, path);
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        double theirs = ask_number(path, numbers[i].key);

        found += isfinite(theirs);
        if (isfinite(theirs) && !(fabs(numbers[i].ours / theirs - 1) < 1e-9))
            fail_msg("%s: %s is %g, by exiv2 %g", ending, numbers[i].key, numbers[i].ours, theirs);
    }
    ask_exiv2(path, "Exif.Image.Model", text);
    found += *text != '\0';
    if (*text && text[strlen(text) - 1] == ' ')
        text[strlen(text) - 1] = '\0';
    if (*text)
        assert_string_equal(metadata.model, text);
    ask_exiv2(path, "Exif.Photo.BodySerialNumber", text);
    found += *text != '\0';
    if (*text)
        assert_string_equal(metadata.serial, text);
    ask_exiv2(path, "Exif.Photo.DateTimeOriginal", text);
    found += *text != '\0';
    if (*text) {
        format_iso(taken, floor(metadata.taken), 0, "");
        taken[4] = taken[7] = ':';
        taken[10] = ' ';
        assert_string_equal(taken, text);
    }
    assert_int_equal(unlink(path), 0);
    return found;
}

static void test_exiv2_agrees(void **state)
{
    struct header header;

    (void)state;
    make_jpeg(&header, true);
    assert_int_equal(compare(&header, "jpg"), 10);
    make_jpeg(&header, false);
    assert_int_equal(compare(&header, "jpg"), 10);
    for (int kind = 0; kind < RAW_KINDS; kind++) {
        int found;

        make_raw(&header, (enum raw_kind)kind);
        found = compare(&header, raw_endings[kind]);
        print_message("%s: %d values\n", raw_endings[kind], found);
        /* It leaves out what is inside a RW2's own JPEG. */
        if (found < (kind == RAW_RW2 ? 1 : 9))
            fail_msg("%s: exiv2 reads only %d values", raw_endings[kind], found);
    }
    make_raf(&header);
    assert_int_equal(compare(&header, "raf"), 10);
    make_heif(&header);
    print_message("heif: %d values\n", compare(&header, "heic"));
    make_cr3(&header);
    print_message("cr3: %d values\n", compare(&header, "cr3"));
}

/* ---- each format ---- */

static void test_jpeg(void **state)
{
    (void)state;
    for (int little = 0; little < 2; little++) {
        struct header header;
        struct metadata metadata;

        make_jpeg(&header, little);
        metadata = read_whole(&header);
        check_settings(&metadata);
        assert_int_equal(metadata.format, PICTURE_JPEG);
        assert_string_equal(metadata.model, "Camera One");
        assert_int_equal(metadata.orientation, 6);
        assert_int_equal(metadata.width, 600);
        assert_int_equal(metadata.height, 400);
        assert_int_equal(metadata.jpeg_at, 0);
        assert_int_equal(metadata.jpeg_size, header.size);
    }
}

static void test_raws_and_their_previews(void **state)
{
    (void)state;
    for (int kind = 0; kind < RAW_KINDS; kind++) {
        struct header header;
        struct metadata metadata;

        make_raw(&header, (enum raw_kind)kind);
        metadata = read_whole(&header);
        check_settings(&metadata);
        assert_int_equal(metadata.format, PICTURE_RAW);
        assert_string_equal(metadata.model, "Camera One");
        assert_int_equal(metadata.width, 6000);
        assert_int_equal(metadata.height, 4000);
        if (metadata.jpeg_width != 192 || metadata.jpeg_height != 128)
            fail_msg("%s: preview of %d x %d", raw_endings[kind], metadata.jpeg_width,
                     metadata.jpeg_height);
        assert_memory_equal(header.data + metadata.jpeg_at, "\xff\xd8\xff", 3);
        assert_in_range(metadata.jpeg_size, 150, 900);
    }
}

static void test_boxes_and_fuji(void **state)
{
    struct header header;
    struct metadata metadata;

    (void)state;
    make_cr3(&header);
    metadata = read_whole(&header);
    check_settings(&metadata);
    assert_string_equal(metadata.make, "Canon");
    assert_string_equal(metadata.model, "Camera Three");
    assert_int_equal(metadata.format, PICTURE_RAW);
    assert_int_equal(metadata.jpeg_width, 600);
    assert_memory_equal(header.data + metadata.jpeg_at, "\xff\xd8", 2);
    make_heif(&header);
    metadata = read_whole(&header);
    check_settings(&metadata);
    assert_string_equal(metadata.make, "Maker");
    assert_string_equal(metadata.model, "Camera Four");
    assert_int_equal(metadata.format, PICTURE_HEIF);
    assert_int_equal(metadata.jpeg_size, 0);
    /* A box without a size goes on to the end of the file (ISO/IEC 14496-12, 4.2): the one after `ftyp`. */
    set_number(&header, 24, 0, 4);
    metadata = read_whole(&header);
    assert_string_equal(metadata.model, "Camera Four");
    make_cr3(&header);
    set_number(&header, 24, 0, 4);
    metadata = read_whole(&header);
    check_settings(&metadata);
    assert_string_equal(metadata.model, "Camera Three");
    assert_int_equal(metadata.jpeg_width, 600);
    make_raf(&header);
    metadata = read_whole(&header);
    check_settings(&metadata);
    assert_int_equal(metadata.jpeg_width, 192);
    assert_int_equal(metadata.jpeg_at, 160);
}

/* Of boxes side by side, as of items in a list (one for each tile of the picture), 256 are looked at. */
static void test_no_more_than_256_beside_each_other(void **state)
{
    struct header header;
    struct metadata metadata;

    (void)state;
    for (int more = 0; more < 2; more++) {
        make_heif_of(&header, 255 + more, 0);
        metadata = read_whole(&header);
        assert_string_equal(metadata.model, more ? "" : "Camera Four");
        make_heif_of(&header, 0, 255 + more);
        metadata = read_whole(&header);
        assert_string_equal(metadata.model, more ? "" : "Camera Four");
        for (int level = CR3_MOVIE; level < CR3_LEVELS; level++) {
            /* Behind the others comes, within its table, that of sizes before that of places. */
            make_cr3_of(&header, (enum cr3_level)level, (level == CR3_TABLE ? 254 : 255) + more);
            metadata = read_whole(&header);
            assert_string_equal(metadata.model, more && level <= CR3_CANON ? "" : "Camera Three");
            assert_int_equal(metadata.jpeg_width > 0, level > CR3_MOVIE && !(more && level >= CR3_TRACK));
        }
        make_cr3_of(&header, CR3_FILE, 255 + more);
        assert_int_equal(metadata_read(header.data, header.size, &metadata, NULL), -more);
    }
}

/* ---- what is missing, odd or broken ---- */

/* A JPEG whose table of EXIF has these tags. */
static struct metadata read_tags(const struct tag_in *tags, size_t count)
{
    struct header header = {.size = 0};
    size_t next;

    put_bytes(&header, "\xff\xd8\xff\xe1\0\0Exif\0", 12);
    put_tiff_head(&header, true, 42);
    set_number(&header, 12 + 4, put_table(&header, 12, tags, count, &next), 4);
    header.little = false;
    set_number(&header, 4, header.size - 4, 2);
    put_jpeg_body(&header, 0xc0, 60, 40);
    return read_whole(&header);
}

static void test_unknown_stays_unknown(void **state)
{
    static const struct tag_in zeros[] = {
        TAG_RATIO(0x829a, 0, 0),    TAG_RATIO(0x829d, 0, 1),
        TAG_NUMBER(0x8827, 3, 0),   TAG_TEXT(0x9003, "0000:00:00 00:00:00"),
        TAG_TEXT(0x9011, "   :  "), TAG_RATIO(0x920a, 0, 1),
    };
    static const struct tag_in odd[] = {
        TAG_TEXT(0x0110, "bad\x1b[2Jname"),
        TAG_TEXT(0x9003, "2028:02:30 17:30:09"),
        TAG_TEXT(0x9011, "+99:00"),
        TAG_TEXT(0x9291, "x"),
    };
    struct metadata metadata = read_tags(zeros, sizeof zeros / sizeof zeros[0]);

    (void)state;
    assert_true(isnan(metadata.shutter_s) && isnan(metadata.f_number) && isnan(metadata.iso));
    assert_true(isnan(metadata.taken) && isnan(metadata.offset_min) && isnan(metadata.focal_mm));
    assert_true(*metadata.model == '\0' && *metadata.serial == '\0');
    assert_int_equal(metadata.orientation, 1);
    metadata = read_tags(odd, sizeof odd / sizeof odd[0]);
    assert_true(isnan(metadata.taken) && isnan(metadata.offset_min));
    assert_null(strchr(metadata.model, '\x1b'));
}

/* No date that the calendar or the clock does not have, and no letters for digits. */
static void test_dates_that_cannot_be(void **state)
{
    static const char dates[][20] = {
        "2028:12:15 17:30:09", "2028:13:15 17:30:09", "2028:00:15 17:30:09", "2028:12:00 17:30:09",
        "2028:12:32 17:30:09", "2028:12:15 24:30:09", "2028:12:15 17:60:09", "2028:12:15 17:30:60",
        "2028:1x:15 17:30:09", "2028:12:15 17:3/:09", "2028:12:15 17:3::09", "2028-12-15 17:30:09",
        "1899:12:15 17:30:09", "2101:12:15 17:30:09", "1900:12:15 17:30:09", "2100:12:15 17:30:09",
    };

    (void)state;
    for (size_t i = 0; i < sizeof dates / sizeof *dates; i++) {
        const struct tag_in tags[] = {{0x9003, 2, dates[i], 20, 0, 0}};
        struct metadata metadata = read_tags(tags, 1);

        if (isfinite(metadata.taken) != (i == 0 || i >= 14))
            fail_msg("'%s' is taken for %.0f", dates[i], metadata.taken);
    }
}

/* Offsets from UTC are less than sixteen hours, and have less than sixty minutes beside them. */
static void test_offsets_that_cannot_be(void **state)
{
    static const struct {
        const char text[7];
        double minutes;
    } offsets[] = {{"+00:00", 0},   {"-00:30", -30}, {"+15:59", 959},  {"-15:00", -900}, {"+16:00", NAN},
                   {"-15:60", NAN}, {"*01:00", NAN}, {"+1:000", NAN}, {"+01-00", NAN}, {"+01:0x", NAN}};

    (void)state;
    for (size_t i = 0; i < sizeof offsets / sizeof *offsets; i++) {
        const struct tag_in tags[] = {{0x9011, 2, offsets[i].text, 7, 0, 0}};
        double minutes = read_tags(tags, 1).offset_min;

        if (isnan(minutes) != isnan(offsets[i].minutes) || minutes - offsets[i].minutes > 0 ||
            minutes - offsets[i].minutes < 0)
            fail_msg("'%s' is taken for %.0f minutes", offsets[i].text, minutes);
    }
}

static void test_second_ways_to_say_it(void **state)
{
    /* 1/500 as log2, ISO past the end of a short number, milliseconds, west of Greenwich. */
    static const struct tag_in tags[] = {
        TAG_NUMBER(0x8827, 3, 65535),
        TAG_NUMBER(0x8832, 4, 102400),
        TAG_TEXT(0x9003, "2028:12:31 17:30:09"),
        TAG_TEXT(0x9011, "-03:30"),
        {0x9201, 10, NULL, 0, 8965784, 1000000},
        TAG_TEXT(0x9291, "123456"),
        TAG_RATIO(0xa20e, 2000, 1),
        TAG_NUMBER(0xa210, 3, 3),
    };
    struct metadata metadata = read_tags(tags, sizeof tags / sizeof tags[0]);

    (void)state;
    assert_near(metadata.iso, 102400, 0);
    assert_near(metadata.shutter_s, 0.002, 1e-8);
    assert_near(metadata.taken, TAKEN + 0.123, 1e-6);
    assert_int_equal(metadata.taken_decimals, 3);
    assert_near(metadata.offset_min, -210, 0);
    assert_near(metadata.sensor_px_per_mm, 200, 1e-9);
}

/* Exif 2.3, 4.6.5, tag 0xa210: 2 is an inch (and what is meant where it is left out), 3 a centimetre. Writers
 * go on with 4 and 5, a millimetre and a micrometre, as of TIFF/EP (ISO 12234-2); a number beyond is none.
 * Both standards from memory. */
static void test_units_of_the_sensor(void **state)
{
    static const double mm[] = {NAN, 25.4, 10, 1, 1e-3, NAN};

    (void)state;
    for (int unit = 1; unit <= 6; unit++) {
        const struct tag_in tags[] = {TAG_RATIO(0xa20e, 2000, 7), TAG_NUMBER(0xa210, 3, (unsigned)unit)};
        double px = read_tags(tags, 2).sensor_px_per_mm, wanted = 2000.0 / 7 / mm[unit - 1];

        if (isnan(wanted))
            assert_true(isnan(px));
        else
            assert_near(px / wanted, 1, 1e-12);
    }
    const struct tag_in alone[] = {TAG_RATIO(0xa20e, 2000, 7)};
    assert_near(read_tags(alone, 1).sensor_px_per_mm, 2000.0 / 7 / 25.4, 1e-9);
}

/* Every file that ends before its end is refused, at whatever byte. */
static void check_cuts(const struct header *header, const char *what)
{
    for (size_t size = 0; size < header->size; size++) {
        uint8_t *bytes = malloc(size ? size : 1);
        struct metadata metadata;
        struct fault fault = {""};

        memcpy(bytes, header->data, size);
        if (metadata_read(bytes, size, &metadata, &fault) == 0)
            fail_msg("%s: %zu of %zu bytes are taken for the whole", what, size, header->size);
        assert_true(*fault.text && text_is_clean(fault.text));
        free(bytes);
    }
}

static void test_cut_files(void **state)
{
    struct header header;

    (void)state;
    make_jpeg(&header, true);
    check_cuts(&header, "jpeg");
    make_cr3(&header);
    check_cuts(&header, "cr3");
    make_raf(&header);
    check_cuts(&header, "raf");
    make_heif(&header);
    check_cuts(&header, "heif");
}

static void test_cut_raws(void **state)
{
    (void)state;
    for (int kind = 0; kind < RAW_KINDS; kind++) {
        struct header header;

        make_raw(&header, (enum raw_kind)kind);
        /* Without its preview and the tables before it there is nothing that shows a cut. */
        for (size_t size = header.size - 40; size < header.size; size++) {
            struct metadata metadata;
            struct fault fault = {""};

            if (metadata_read(header.data, size, &metadata, &fault) == 0)
                fail_msg("%s: %zu of %zu bytes are taken for the whole", raw_endings[kind], size,
                         header.size);
            assert_non_null(strstr(fault.text, "cut short"));
        }
    }
}

/* A raw file may end with its header; a box may say that it is larger than any file. */
static void test_ends_of_headers(void **state)
{
    struct header header;
    struct metadata metadata;
    struct fault fault = {""};
    size_t box;

    (void)state;
    make_raf(&header);
    memset(header.data + 84, 0, 24);
    assert_int_equal(metadata_read(header.data, 108, &metadata, &fault), 0);
    assert_int_equal(metadata.jpeg_size, 0);
    assert_int_equal(metadata_read(header.data, 107, &metadata, &fault), -1);
    for (int beyond = 0; beyond < 2; beyond++) {
        make_cr3(&header);
        box = header.size;
        put_value(&header, 1, 4);
        put_bytes(&header, "free", 4);
        put_value(&header, (uint64_t)SIZE_MAX - box + (uint64_t)beyond, 8);
        /* One that ends past the last byte there can be is no box. */
        assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), beyond - 1);
        assert_string_equal(metadata.model, "Camera Three");
    }
}

/* A picture stored in strips or tiles shows by its last one that the file is cut short. */
static int read_strips(int at_tag, uint32_t at, int size_tag, uint32_t size, struct fault *fault)
{
    const struct tag_in tags[] = {TAG_NUMBER(0x0100, 4, 60), TAG_NUMBER(0x0101, 4, 40),
                                  TAG_NUMBER(0x0103, 3, 1), TAG_NUMBER(at_tag, 4, at),
                                  TAG_NUMBER(size_tag, 4, size)};
    struct header header = {.size = 0};
    struct metadata metadata;
    size_t next;

    put_tiff_head(&header, true, 42);
    set_number(&header, 4, put_table(&header, 0, tags, 5, &next), 4);
    return metadata_read(header.data, header.size, &metadata, fault);
}

static void test_cut_strips(void **state)
{
    static const int at[] = {0x0111, 0x0144}, sizes[] = {0x0117, 0x0145};
    struct fault fault = {""};

    (void)state;
    for (int i = 0; i < 2; i++) {
        assert_int_equal(read_strips(at[i], 8, sizes[i], 40, &fault), 0);
        /* Nowhere, or nothing of it. */
        assert_int_equal(read_strips(at[i], UINT32_MAX, sizes[i], 40, &fault), 0);
        assert_int_equal(read_strips(at[i], HEADER_SIZE, sizes[i], 0, &fault), 0);
        assert_int_equal(read_strips(at[i], 8, sizes[i], HEADER_SIZE, &fault), -1);
        assert_non_null(strstr(fault.text, "cut short"));
    }
}

/* TIFF, and what two makers write in its place; nothing else. */
static void test_structures_by_their_second_word(void **state)
{
    static const struct {
        int word;
        bool known;
    } words[] = {{42, true}, {0x55, true}, {0x4f52, true}, {0x5352, true}, {41, false}, {43, false}, {0x54, false}};

    (void)state;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        for (int little = 0; little < 2; little++) {
            static const struct tag_in tags[] = {TAG_NUMBER(0x0100, 4, 60)};
            struct header header = {.size = 0};
            struct metadata metadata;
            struct fault fault;
            size_t next;

            put_tiff_head(&header, little, words[i].word);
            set_number(&header, 4, put_table(&header, 0, tags, 1, &next), 4);
            assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), words[i].known - 1);
        }
}

/* Texts are trimmed at both ends, as some makers fill them with blanks. */
static void test_texts_are_trimmed(void **state)
{
    static const struct tag_in tags[] = {TAG_TEXT(0x0110, "   Camera One  "),
                                         TAG_TEXT(0xa431, " 0123 ")};
    static const struct tag_in blank[] = {TAG_TEXT(0x0110, "     ")};
    struct metadata metadata = read_tags(tags, 2);

    (void)state;
    assert_string_equal(metadata.model, "Camera One");
    metadata = read_tags(blank, 1);
    assert_string_equal(metadata.model, "");
}

static void test_loops_end(void **state)
{
    /* A table that is its own successor and its own sub-table. */
    static const struct tag_in tags[] = {TAG_NUMBER(0x014a, 4, 8), TAG_NUMBER(0x8769, 4, 8)};
    struct header header = {.size = 0};
    struct metadata metadata;
    struct fault fault;
    size_t next;

    (void)state;
    put_tiff_head(&header, true, 42);
    set_number(&header, 4, put_table(&header, 0, tags, 2, &next), 4);
    set_number(&header, next, 8, 4);
    assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), 0);
    assert_int_equal(metadata.jpeg_size, 0);
}

/* A JPEG ends with a marker behind the start of its picture: what looks like one in the head, or half in it, is none. */
static void test_an_end_within_the_head_is_none(void **state)
{
    (void)state;
    for (int within = 0; within < 3; within++) {
        struct header header = {.size = 0};
        struct metadata metadata;
        struct fault fault = {""};
        size_t scan;

        put_jpeg(&header, 0xc0, 60, 40);
        /* The two bytes of the marker, the data of 40 blocks, and the head's last byte before them. */
        scan = header.size - 2 - 10;
        header.size -= 2;
        memcpy(header.data + scan - 2 + within, "\xff\xd9", 2);
        assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), within < 2 ? -1 : 0);
    }
}

/* A structure whose first table is nowhere has none, whatever its bytes are. */
static void test_a_table_nowhere_is_none(void **state)
{
    struct header header = {.size = 0};
    struct metadata metadata;
    struct fault fault = {""};

    (void)state;
    put_tiff_head(&header, true, 42);
    put_value(&header, 0, 7);
    /* Where the second entry of a table at 1 would be. */
    put_bytes(&header, "\x10\1\2\0\4\0\0\0Bad\0", 12);
    put_value(&header, 0, 8);
    assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), 0);
    assert_string_equal(metadata.model, "");
}

/* Entries of a type that nobody knows, or without a value, change nothing. */
static void test_entries_without_a_value(void **state)
{
    (void)state;
    for (int without = 0; without < 2; without++) {
        const struct tag_in tags[] = {TAG_NUMBER(0x0100, 4, 60), TAG_NUMBER(0x0101, 4, 40),
                                      TAG_NUMBER(0x0100, without ? 4 : 6, 70)};
        struct header header = {.size = 0};
        struct metadata metadata;
        struct fault fault = {""};
        size_t next;

        put_tiff_head(&header, true, 42);
        set_number(&header, 4, put_table(&header, 0, tags, 3, &next), 4);
        if (without)
            set_number(&header, 8 + 2 + 2 * 12 + 4, 0, 4);
        assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), 0);
        assert_int_equal(metadata.width, 60);
        assert_int_equal(metadata.height, 40);
    }
}

/* Of one table 512 entries are read, and of its tables below 16. */
static void test_no_more_entries_and_tables_below(void **state)
{
    static struct tag_in many[513];
    static const struct tag_in width[] = {TAG_NUMBER(0x0100, 4, 60)}, model[] = {TAG_TEXT(0x0110, "Last")};

    (void)state;
    for (int more = 0; more < 2; more++) {
        struct header header = {.size = 0}, places = {.little = true};
        struct metadata metadata;
        struct fault fault = {""};
        size_t next;

        for (int i = 0; i < 513; i++)
            many[i] = i == 511 + more ? model[0] : width[0];
        put_tiff_head(&header, true, 42);
        set_number(&header, 4, put_table(&header, 0, many, 513, &next), 4);
        assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), 0);
        assert_string_equal(metadata.model, more ? "" : "Last");

        header = (struct header){.size = 0};
        put_tiff_head(&header, true, 42);
        for (int i = 0; i < 17; i++)
            put_value(&places, put_table(&header, 0, i == 15 + more ? model : width, 1, &next), 4);
        const struct tag_in below[] = {{0x014a, 4, places.data, places.size, 0, 0}};
        uint32_t table = put_table(&header, 0, below, 1, &next);
        set_number(&header, 4, table, 4);
        /* As many values, not bytes. */
        set_number(&header, table + 2 + 4, 17, 4);
        assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), 0);
        assert_string_equal(metadata.model, more ? "" : "Last");
    }
}

/* Of a chain of tables 64 are read. */
static void test_no_more_than_64_tables(void **state)
{
    static const struct tag_in width[] = {TAG_NUMBER(0x0100, 4, 60)}, model[] = {TAG_TEXT(0x0110, "Last")};

    (void)state;
    for (int count = 64; count < 66; count++) {
        struct header header = {.size = 0};
        struct metadata metadata;
        struct fault fault = {""};
        size_t place = 4;

        put_tiff_head(&header, true, 42);
        for (int i = 0; i < count; i++) {
            size_t next;

            set_number(&header, place, put_table(&header, 0, i < count - 1 ? width : model, 1, &next), 4);
            place = next;
        }
        assert_int_equal(metadata_read(header.data, header.size, &metadata, &fault), 0);
        assert_string_equal(metadata.model, count == 64 ? "Last" : "");
    }
}

static void test_other_files(void **state)
{
    static const char text[] = "name,time\n", film[] = "\0\0\0\24ftypqt  \0\0\0\0qt  ";
    struct metadata metadata;
    struct fault fault = {""};

    (void)state;
    assert_int_equal(metadata_read((const uint8_t *)text, sizeof text, &metadata, &fault), -1);
    assert_non_null(strstr(fault.text, "not a picture"));
    assert_int_equal(metadata_read((const uint8_t *)film, 20, &metadata, &fault), -1);
    assert_non_null(strstr(fault.text, "not a picture"));
    assert_int_equal(metadata_read(NULL, 0, &metadata, &fault), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_exiv2_agrees),
        cmocka_unit_test(test_jpeg),
        cmocka_unit_test(test_raws_and_their_previews),
        cmocka_unit_test(test_boxes_and_fuji),
        cmocka_unit_test(test_no_more_than_256_beside_each_other),
        cmocka_unit_test(test_unknown_stays_unknown),
        cmocka_unit_test(test_dates_that_cannot_be),
        cmocka_unit_test(test_offsets_that_cannot_be),
        cmocka_unit_test(test_second_ways_to_say_it),
        cmocka_unit_test(test_units_of_the_sensor),
        cmocka_unit_test(test_cut_files),
        cmocka_unit_test(test_cut_raws),
        cmocka_unit_test(test_ends_of_headers),
        cmocka_unit_test(test_cut_strips),
        cmocka_unit_test(test_structures_by_their_second_word),
        cmocka_unit_test(test_texts_are_trimmed),
        cmocka_unit_test(test_loops_end),
        cmocka_unit_test(test_an_end_within_the_head_is_none),
        cmocka_unit_test(test_a_table_nowhere_is_none),
        cmocka_unit_test(test_entries_without_a_value),
        cmocka_unit_test(test_no_more_entries_and_tables_below),
        cmocka_unit_test(test_no_more_than_64_tables),
        cmocka_unit_test(test_other_files),
    };
    int failed;

    if (!mkdtemp(folder))
        return 1;
    failed = cmocka_run_group_tests(tests, NULL, NULL);
    (void)rmdir(folder);
    return failed;
}
