/* words: what a rig's pictures tell, and what a hook is told. */
#ifndef MOONSTAND_ALBUM_WORDS_H
#define MOONSTAND_ALBUM_WORDS_H

#include <moonstand/album.h>

enum { ALBUM_WORDS = 128 };
/* What the looks at the Moon tell the hands: "no Moon in its pictures: look at the aim"; empty: nothing. */
const char *looks_words(enum look_news looks);
/* What the pictures of a rig tell now, the worst of it: "NO PICTURE FOR 1:40", "camera: 1/500 s, ISO
 * 400: 3 stops too dark", "412 seen, last 8 s ago". `brevity` 0 to 3. */
enum album_news { ALBUM_NONE, ALBUM_QUIET, ALBUM_TROUBLE, ALBUM_WRONG, ALBUM_STOPPED };
enum { ALBUM_BREVITIES = 4 };
enum album_news album_words(const struct moment *moment, int rig, int brevity,
                            char out[ALBUM_WORDS]);

/* What a hook is told beside the rig's name. */
enum news_kind {
    NEWS_RE_AIM,
    NEWS_RE_AIM_SOON,
    NEWS_RE_AIM_DUE,
    NEWS_PUT_OFF,
    NEWS_NO_PICTURE,
    NEWS_WRONG_SETTING,
    NEWS_POWER
};
const char *news_words(enum news_kind news);

#endif
