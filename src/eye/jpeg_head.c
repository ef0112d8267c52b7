/* Segments: ITU T.81. */
#include "bytes.h"

enum {
    MARKER_SOI = 0xd8,
    MARKER_EOI = 0xd9,
    MARKER_SOS = 0xda,
    MARKER_APP1 = 0xe1,
    MARKER_SOF0 = 0xc0,
    MARKER_SOF2 = 0xc2,
    MARKER_SOF15 = 0xcf,
    MARKER_DHT = 0xc4,
    MARKER_JPG = 0xc8,
    MARKER_DAC = 0xcc,
};

static bool is_frame(int marker)
{
    return marker >= MARKER_SOF0 && marker <= MARKER_SOF15 && marker != MARKER_DHT &&
           marker != MARKER_JPG && marker != MARKER_DAC;
}

static void read_frame(struct bytes *jpeg, size_t at, int marker, struct jpeg_head *head)
{
    int parts = (int)bytes_number(jpeg, at + 7, 1);

    head->height = bytes_u16(jpeg, at + 3);
    head->width = bytes_u16(jpeg, at + 5);
    head->common =
        marker <= MARKER_SOF2 && bytes_number(jpeg, at + 2, 1) == 8 && (parts == 1 || parts == 3);
}

int jpeg_head_read(struct bytes jpeg, struct jpeg_head *head, struct fault *fault)
{
    size_t at = 2;

    *head = (struct jpeg_head){0};
    if (bytes_u16(&jpeg, 0) != (0xff00 | MARKER_SOI))
        return fault_set(fault, "not a JPEG");
    for (;;) {
        int marker = (int)bytes_number(&jpeg, at + 1, 1);
        size_t length = bytes_u16(&jpeg, at + 2);

        if (!jpeg.short_read && jpeg.data[at] != 0xff)
            return fault_set(fault,
                             "damaged at byte %zu: found 0x%02x; expected the marker of a "
                             "JPEG segment",
                             at, jpeg.data[at]);
        if (!jpeg.short_read && marker == 0xff) { /* fill */
            at++;
            continue;
        }
        if (jpeg.short_read || !bytes_has(&jpeg, at + 2, length))
            return fault_set(fault, "cut short: ends at byte %zu, inside the head of a JPEG",
                             jpeg.size);
        if (length < 2 || marker == MARKER_EOI)
            return fault_set(fault, "damaged at byte %zu: JPEG segment 0x%02x has length %zu", at,
                             (unsigned)marker, length);
        at += 2;
        if (marker == MARKER_SOS) {
            head->scan_at = at + length;
            return head->width && head->height ? 0
                                               : fault_set(fault, "damaged: a JPEG without a size");
        }
        if (is_frame(marker))
            read_frame(&jpeg, at, marker, head);
        else if (marker == MARKER_APP1 && !head->exif_size && length > 8 &&
                 bytes_are(&jpeg, at + 2, "Exif\0", 6)) {
            head->exif_at = at + 8;
            head->exif_size = length - 8;
        }
        at += length;
    }
}

bool jpeg_has_end(const struct bytes *jpeg, size_t scan_at)
{
    /* From behind, where it is in a picture that is whole. */
    for (size_t at = jpeg->size; at >= scan_at + 2; at--)
        if (jpeg->data[at - 1] == MARKER_EOI && jpeg->data[at - 2] == 0xff)
            return true;
    return false;
}

void reading_offer_jpeg(struct reading *reading, size_t at, size_t size)
{
    struct metadata *metadata = &reading->metadata;
    struct bytes jpeg = bytes_part(&reading->file, at, size);
    struct jpeg_head head;

    if (jpeg_head_read(jpeg, &head, NULL) != 0 || !head.common ||
        (double)head.width * head.height <= (double)metadata->jpeg_width * metadata->jpeg_height)
        return;
    reading_need(reading, at, size);
    reading->exif_at = at + head.exif_at;
    reading->exif_size = head.exif_size;
    metadata->jpeg_at = at;
    metadata->jpeg_size = jpeg.size;
    metadata->jpeg_width = head.width;
    metadata->jpeg_height = head.height;
}
