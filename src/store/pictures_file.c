/* The pictures of a session: one object a line, appended by the watcher, read again by it and by
 * the report. A line that a crash has cut is left out. */
#include "files.h"

#include <moonstand/pictures_file.h>

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

enum { LINE_LONGEST = 8192 };

static double number_of(const cJSON *object, const char *key, double lowest, double highest)
{
    const cJSON *node = json_member(object, key);

    return cJSON_IsNumber(node) && node->valuedouble >= lowest && node->valuedouble <= highest
               ? node->valuedouble
               : NAN;
}

static void keep_text(const cJSON *object, const char *key, char out[METADATA_TEXT])
{
    const char *text = json_text(object, key);

    (void)snprintf(out, METADATA_TEXT, "%.*s", METADATA_TEXT - 1, text_is_clean(text) ? text : "");
    text_clean(out);
}

/* "+01:00" */
static double offset_min_of(const cJSON *object)
{
    const char *text = json_text(object, "offset");
    int hours, minutes;
    char sign;

    return sscanf(text, "%c%2d:%2d", &sign, &hours, &minutes) == 3 && (sign == '+' || sign == '-')
               ? (double)((sign == '-' ? -1 : 1) * (60 * hours + minutes))
               : NAN;
}

static int whole_of(const cJSON *object, const char *key)
{
    double value = number_of(object, key, 0, UINT16_MAX);

    return isnan(value) ? 0 : (int)value;
}

static enum picture_format format_of(const cJSON *object)
{
    for (int i = 0; i < PICTURE_FORMATS; i++)
        if (strcmp(json_text(object, "format"), picture_format_name((enum picture_format)i)) == 0)
            return (enum picture_format)i;
    return PICTURE_JPEG;
}

static void metadata_of(const cJSON *object, struct metadata *metadata)
{
    *metadata = (struct metadata){
        .format = format_of(object),
        .taken = json_instant(object, "taken"),
        .taken_decimals = 2,
        .offset_min = offset_min_of(object),
        .shutter_s = number_of(object, "shutter_s", 0, 1e6),
        .iso = number_of(object, "iso", 0, 1e9),
        .f_number = number_of(object, "f_number", 0, 1e6),
        .focal_mm = number_of(object, "focal_mm", 0, 1e6),
        .focal_35mm = NAN,
        .sensor_px_per_mm = NAN,
        .width = whole_of(object, "width"),
        .height = whole_of(object, "height"),
        .orientation = 1,
    };
    keep_text(object, "make", metadata->make);
    keep_text(object, "model", metadata->model);
    keep_text(object, "serial", metadata->serial);
}

static void disc_of(const cJSON *object, struct seen *seen)
{
    const cJSON *disc = json_member(object, "disc");
    const cJSON *light = json_member(object, "light");
    const cJSON *limb = json_member(object, "limb");
    const cJSON *umbra = json_member(light, "umbra");

    seen->state = cJSON_IsObject(disc) ? SEEN_DISC : SEEN_NOT_LOOKED;
    seen->place =
        (struct frame_point){number_of(disc, "x", -10, 10), number_of(disc, "y", -10, 10)};
    seen->disc = (struct moon_disc){NAN,
                                    NAN,
                                    number_of(disc, "radius_px", 0, 1e6),
                                    number_of(disc, "arc", 0, 1),
                                    number_of(disc, "scatter_px", 0, 1e6),
                                    number_of(disc, "score", 0, 1)};
    seen->light = (struct disc_light){number_of(light, "lit", 0, 255),
                                      {NAN, NAN, NAN},
                                      number_of(light, "clipped", 0, 1),
                                      number_of(light, "sky", 0, 255)};
    for (int c = 0; c < 3; c++) {
        const cJSON *tone = cJSON_GetArrayItem(umbra, c);

        seen->light.umbra[c] = cJSON_IsNumber(tone) ? tone->valuedouble : NAN;
    }
    seen->limb =
        (struct limb){number_of(limb, "width_px", 0, 1e6), number_of(limb, "least_px", 0, 1e6),
                      number_of(limb, "most_px", 0, 1e6), number_of(limb, "most_deg", 0, 180)};
}

static bool take_line(const char *line, size_t length, pictures_take *take, void *context)
{
    cJSON *object = cJSON_ParseWithLength(line, length);
    struct seen seen = {.rig = -1};

    seen.file = json_text(object, "file");
    seen.bytes = number_of(object, "bytes", 0, 1e15);
    bool good = *seen.file && text_is_clean(seen.file) && isfinite(seen.bytes);
    if (good) {
        seen.landed_utc = json_instant(object, "landed");
        seen.took_s = NAN;
        metadata_of(object, &seen.metadata);
        disc_of(object, &seen);
        take(context, &seen, json_text(object, "rig"));
    }
    cJSON_Delete(object);
    return good;
}

static int open_in(const char *folder, int flags, char path[PATH_SIZE], struct fault *fault)
{
    if (path_in(folder, PICTURES_FILE, path, fault) != 0)
        return -1;
    int file = file_open_at(AT_FDCWD, path, flags);
    if (file < 0)
        (void)fault_set(fault, "cannot open %s: %s", path, strerror(errno));
    return file;
}

int pictures_file_read(const char *folder, pictures_take *take, void *context, int *damaged,
                       struct fault *fault)
{
    static char line[LINE_LONGEST];
    char path[PATH_SIZE];
    int file, status = 0;

    *damaged = 0;
    errno = 0;
    file = open_in(folder, O_RDONLY, path, fault);
    if (file < 0)
        return errno == ENOENT ? 0 : -1;
    /* A stream, so that a night of any length is read in a bounded room. */
    FILE *in = fdopen(file, "r");
    if (!in) {
        (void)close(file);
        return fault_set(fault, "out of memory");
    }
    while (fgets(line, sizeof line, in)) {
        size_t length = strlen(line);

        if (length == 0 || line[length - 1] != '\n' || !take_line(line, length, take, context))
            ++*damaged;
    }
    if (ferror(in))
        status = fault_set(fault, "cannot read %s", path);
    (void)fclose(in);
    return status;
}

int pictures_file_open(const char *folder, struct fault *fault)
{
    char path[PATH_SIZE], last;
    int file = open_in(folder, O_RDWR | O_CREAT | O_APPEND, path, fault);
    off_t size = file >= 0 ? lseek(file, 0, SEEK_END) : 0;

    /* A line that a crash has cut ends here. */
    if (size > 0 && pread(file, &last, 1, size - 1) == 1 && last != '\n')
        (void)!write(file, "\n", 1);
    return file;
}
