/* base: the middle of some values. */
#ifndef MOONSTAND_MEDIAN_H
#define MOONSTAND_MEDIAN_H

/* Of some tens of values, one at least and none NaN; of an even number the upper of the middle two.
 * Sorts them, and takes no memory. */
double median_of(double *values, int count);

#endif
