#include <moonstand/median.h>

double median_of(double *values, int count)
{
    for (int i = 1; i < count; i++)
        for (int j = i; j > 0 && values[j - 1] > values[j]; j--) {
            double swap = values[j];

            values[j] = values[j - 1];
            values[j - 1] = swap;
        }
    return values[count / 2];
}
