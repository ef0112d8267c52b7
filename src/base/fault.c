#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <stdarg.h>
#include <stdio.h>

int fault_set(struct fault *fault, const char *format, ...)
{
    va_list args;

    if (!fault)
        return -1;
    va_start(args, format);
    (void)vsnprintf(fault->text, sizeof fault->text, format, args);
    va_end(args);
    text_clean(fault->text);
    return -1;
}
