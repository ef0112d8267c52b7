/* The one file that knows libjpeg. It runs in the box. */
#include "jpeg.h"

#include <setjmp.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jerror.h>
#include <jpeglib.h>
#undef FAR /* of pointers, on machines of 16 bits */

#define PIXELS_LARGEST 300e6

struct decoder {
    struct jpeg_error_mgr errors; /* first: libjpeg hands it back */
    jmp_buf failed;
    bool damaged, done;
    struct jpeg_decompress_struct jpeg;
    JSAMPLE *row;
    struct pixels pixels;
};

_Noreturn static void on_error(j_common_ptr jpeg)
{
    longjmp(((struct decoder *)jpeg->err)->failed, 1);
}

/* What libjpeg makes up for in silence is damage to us; stray bytes between segments are not. */
static void on_warning(j_common_ptr jpeg, int level)
{
    int code = jpeg->err->msg_code;

    if (level < 0 && (code == JWRN_HIT_MARKER || code == JWRN_HUFF_BAD_CODE ||
                      code == JWRN_JPEG_EOF || code == JWRN_MUST_RESYNC))
        ((struct decoder *)jpeg->err)->damaged = true;
}

static int smaller(int a, int b)
{
    return a < b ? a : b;
}

/* The part that is there. False if none of it is. */
static bool fit(struct decoder *decoder, const struct jpeg_part *asked)
{
    struct pixels *part = &decoder->pixels;
    int left = asked->left < 0 ? 0 : asked->left, top = asked->top < 0 ? 0 : asked->top;

    *part = (struct pixels){.width = (int)decoder->jpeg.output_width,
                            .height = (int)decoder->jpeg.output_height,
                            .left = left,
                            .top = top,
                            .scale = asked->shrink};
    if (asked->width == 0)
        return true;
    part->width = smaller(asked->left + asked->width, part->width) - left;
    part->height = smaller(asked->top + asked->height, part->height) - top;
    return part->width > 0 && part->height > 0;
}

/* Decodes down to the last row that is needed. False: out of memory, or nothing to decode. */
static bool decode(struct decoder *decoder, const struct jpeg_part *asked)
{
    struct jpeg_decompress_struct *jpeg = &decoder->jpeg;
    struct pixels *part = &decoder->pixels;

    jpeg->out_color_space = JCS_RGB;
    jpeg->scale_num = 1;
    jpeg->scale_denom = (unsigned)asked->shrink;
    if ((double)jpeg->image_width * jpeg->image_height > PIXELS_LARGEST)
        return false;
    (void)jpeg_start_decompress(jpeg);
    if (!fit(decoder, asked))
        return false;
    decoder->row = malloc((size_t)jpeg->output_width * 3);
    part->rgb = malloc((size_t)part->width * (size_t)part->height * 3);
    if (!decoder->row || !part->rgb)
        return false;
    for (int y = 0; y < part->top + part->height; y++) {
        (void)jpeg_read_scanlines(jpeg, &decoder->row, 1);
        if (y >= part->top)
            (void)memcpy(part->rgb + (size_t)(y - part->top) * (size_t)part->width * 3,
                         decoder->row + (size_t)part->left * 3, (size_t)part->width * 3);
    }
    return true;
}

int jpeg_decode(const uint8_t *bytes, size_t size, const struct jpeg_part *asked,
                struct pixels *pixels, struct fault *fault)
{
    /* Static: what is changed after setjmp has to outlive the jump. */
    static struct decoder decoder;

    decoder = (struct decoder){.damaged = false};
    decoder.jpeg.err = jpeg_std_error(&decoder.errors);
    decoder.errors.error_exit = on_error;
    decoder.errors.emit_message = on_warning;
    if (setjmp(decoder.failed) == 0) {
        jpeg_create_decompress(&decoder.jpeg);
        jpeg_mem_src(&decoder.jpeg, bytes, (unsigned long)size);
        (void)jpeg_read_header(&decoder.jpeg, TRUE);
        decoder.done = decode(&decoder, asked);
    } else {
        decoder.damaged = true;
    }
    jpeg_destroy_decompress(&decoder.jpeg);
    free(decoder.row);
    if (decoder.done && !decoder.damaged) {
        *pixels = decoder.pixels;
        return 0;
    }
    free(decoder.pixels.rgb);
    return fault_set(fault, decoder.damaged ? "damaged: its pixels cannot be decoded"
                                            : "its pixels need too much memory");
}
