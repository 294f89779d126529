#ifndef EXPORT_H
#define EXPORT_H

/* Seen from JavaScript under its own name. */
#define EXPORT __attribute__((visibility("default"), used))

#endif
