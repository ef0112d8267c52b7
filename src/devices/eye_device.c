/* The process that watches the pictures, seen from the loop: started, read without waiting,
 * ended. */
#include "child.h"

#include <moonstand/eye_device.h>

#include <errno.h>
#include <math.h>
#include <unistd.h>

int eye_device_open(struct eye_device *eye, const struct user_command *command, double boot_s,
                    struct fault *fault)
{
    *eye = (struct eye_device){
        .child = {.fd = -1}, .wanted = command->count > 0, .heard_s = boot_s, .asked_s = boot_s};
    return eye->wanted
               ? child_start(&eye->child, command,
                             &(struct child_plan){.output = true, .until_s = INFINITY}, fault)
               : 0;
}

void eye_device_close(struct eye_device *eye)
{
    child_kill(&eye->child);
    child_close(&eye->child);
    (void)child_ended(&eye->child);
    eye->wanted = false;
}

bool eye_device_next(struct eye_device *eye, double boot_s, struct glance *glance)
{
    if (eye->child.fd < 0)
        return false;
    ssize_t got =
        read(eye->child.fd, eye->record.bytes + eye->have, sizeof eye->record.bytes - eye->have);
    if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR))
        child_close(&eye->child);
    if (got <= 0)
        return false;
    eye->heard_s = boot_s;
    eye->have += (size_t)got;
    if (eye->have < sizeof eye->record.bytes)
        return false;
    eye->have = 0;
    *glance = eye->record.glance;
    return true;
}

void eye_device_hurry(const struct eye_device *eye)
{
    /* What keeps the watcher is in one group with it. */
    if (eye->child.pid > 0)
        (void)kill(-eye->child.pid, EYE_HURRY);
}

enum eye_state eye_device_state(struct eye_device *eye, double boot_s)
{
    if (!eye->wanted)
        return EYE_OFF;
    if (child_ended(&eye->child))
        return EYE_ENDED;
    /* Nobody gives a sign of life while the laptop sleeps. */
    if (boot_s - eye->asked_s > EYE_ALIVE_S)
        eye->heard_s = boot_s;
    eye->asked_s = boot_s;
    return boot_s - eye->heard_s > EYE_SILENT_S ? EYE_SILENT : EYE_WATCHES;
}
