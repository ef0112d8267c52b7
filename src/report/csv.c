/* Comma-separated values as RFC 4180 has them. */
#include "print.h"

#include <math.h>
#include <string.h>

void csv_text(struct csv *csv, const char *text)
{
    if (csv->fields++ > 0)
        fputc(',', csv->out);
    if (!text)
        return;
    if (!text[strcspn(text, ",\"\r\n")]) {
        fputs(text, csv->out);
        return;
    }
    fputc('"', csv->out);
    for (; *text; text++) {
        if (*text == '"')
            fputc('"', csv->out);
        fputc(*text, csv->out);
    }
    fputc('"', csv->out);
}

void csv_number(struct csv *csv, double value, int decimals)
{
    char text[64];

    csv_text(csv, isfinite(value) ? text_set(text, sizeof text, "%.*f", decimals, value) : NULL);
}

void csv_instant(struct csv *csv, double utc)
{
    char iso[TEXT_INSTANT];

    csv_text(csv, isfinite(utc) ? format_iso(iso, utc, 3, "Z") : NULL);
}

void csv_end(struct csv *csv)
{
    fputs("\r\n", csv->out);
    csv->fields = 0;
}

/* ---- reading ---- */

static int next_byte(struct csv_reader *reader)
{
    int byte = fgetc(reader->in);

    if (byte == '\n') {
        reader->line++;
        reader->column = 1;
    } else if (byte != EOF) {
        reader->column++;
    }
    return byte;
}

void csv_begin(struct csv_reader *reader, FILE *in)
{
    static const unsigned char mark[] = {0xef, 0xbb, 0xbf};
    size_t got = 0;
    int byte = EOF;

    *reader = (struct csv_reader){.in = in, .line = 1, .column = 1};
    while (got < sizeof mark && (byte = fgetc(in)) == mark[got])
        got++;
    if (got == sizeof mark)
        return;
    if (byte != EOF)
        (void)ungetc(byte, in);
    /* The C libraries of Linux can push back more than one. */
    while (got-- > 0)
        (void)ungetc(mark[got], in);
}

/* A line ends in LF or CR LF. */
static int next_byte_or_end(struct csv_reader *reader)
{
    int byte = next_byte(reader);

    if (byte != '\r')
        return byte;
    int after = fgetc(reader->in);
    if (after != EOF)
        (void)ungetc(after, reader->in);
    return after == '\n' ? next_byte(reader) : byte;
}

static bool ends_field(struct csv_reader *reader, int byte)
{
    if (reader->parted_by == 0 && (byte == ',' || byte == ';' || byte == '\t'))
        reader->parted_by = byte;
    return byte == '\n' || byte == EOF || byte == reader->parted_by;
}

/* What a field that ended with this byte returns. */
static int ended_by(const struct csv_reader *reader, int byte)
{
    return byte == reader->parted_by ? ',' : byte;
}

void csv_skip_line(struct csv_reader *reader)
{
    int byte;

    do
        byte = next_byte(reader);
    while (byte != '\n' && byte != EOF);
}

static int complain(struct fault *fault, const char *what)
{
    (void)fault_set(fault, "%s", what);
    return CSV_FAULT;
}

/* After the opening quote. */
static int read_quoted(struct csv_reader *reader, char *out, size_t size, struct fault *fault)
{
    size_t length = 0;

    for (;;) {
        int byte = next_byte(reader);

        if (byte == EOF)
            return complain(fault, "a quote is never closed");
        if (byte == '"') {
            byte = next_byte_or_end(reader);
            if (ends_field(reader, byte)) {
                out[length] = '\0';
                return byte == EOF ? '\n' : ended_by(reader, byte);
            }
            if (byte != '"')
                return complain(fault, "text follows a closing quote; a quote inside a field is "
                                       "written twice");
        }
        if (byte == '\0' || length + 1 >= size)
            return complain(fault, "a field is too long, or holds a zero byte");
        out[length++] = (char)byte;
    }
}

int csv_read(struct csv_reader *reader, char *out, size_t size, struct fault *fault)
{
    size_t length = 0;
    int byte = next_byte_or_end(reader);

    if (byte == '"')
        return read_quoted(reader, out, size, fault);
    for (; !ends_field(reader, byte); byte = next_byte_or_end(reader)) {
        if (byte == '"')
            return complain(fault, "quote inside a field; write the whole field in "
                                   "quotes, and the quote in it twice");
        if (byte == '\0' || length + 1 >= size)
            return complain(fault, "a field is too long, or holds a zero byte");
        out[length++] = (char)byte;
    }
    out[length] = '\0';
    return byte == EOF && length > 0 ? '\n' : ended_by(reader, byte);
}
