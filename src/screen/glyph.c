#include "area.h"

#include <moonstand/glyph.h>

#include <langinfo.h>
#include <locale.h>
#include <stdbool.h>
#include <string.h>

/* All from blocks that Unicode's EastAsianWidth table calls neutral, so that no terminal shows them
 * two columns wide. */
static const char *const glyph_texts[GLYPH_COUNT][2] = {
    [GLYPH_CUT] = {[GLYPHS_UTF8] = "\u22ef", [GLYPHS_ASCII] = "~"},
    [GLYPH_POINTER] = {[GLYPHS_UTF8] = "\u25b8", [GLYPHS_ASCII] = ">"},
    [GLYPH_TICK] = {[GLYPHS_UTF8] = "\u2713", [GLYPHS_ASCII] = "x"},
    [GLYPH_UPRIGHT] = {[GLYPHS_UTF8] = "\u254e", [GLYPHS_ASCII] = "|"},
};

const char *glyph(enum glyph_set set, enum glyph which)
{
    return glyph_texts[which][set];
}

static bool locale_is_utf8(void)
{
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
}

enum glyph_set glyph_locale(void)
{
    (void)setlocale(LC_CTYPE, "");
    if (!locale_is_utf8())
        (void)setlocale(LC_CTYPE, "C.UTF-8");
    return locale_is_utf8() ? GLYPHS_UTF8 : GLYPHS_ASCII;
}
