#include "area.h"

#include <moonstand/glyph.h>

#include <langinfo.h>
#include <locale.h>
#include <stdbool.h>
#include <string.h>

/* All from blocks that Unicode's EastAsianWidth table calls neutral, so that no terminal shows them
 * two columns wide. */
static const char *const glyphs[][GLYPH_COUNT] = {
    [GLYPHS_UTF8] =
        {
            [GLYPH_CUT] = "\u22ef",
            [GLYPH_POINTER] = "\u25b8",
            [GLYPH_TICK] = "\u2713",
            [GLYPH_UPRIGHT] = "\u254e",
        },
    [GLYPHS_ASCII] =
        {
            [GLYPH_CUT] = "~",
            [GLYPH_POINTER] = ">",
            [GLYPH_TICK] = "x",
            [GLYPH_UPRIGHT] = "|",
        },
};

const char *glyph(enum glyph_set set, enum glyph which)
{
    return glyphs[set][which];
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
