/*
 * Gates to the rare parts of the tick (core/tick.h), see port_rare() in board.h.
 *
 * rare_x calls x and changes no register but the flags. last_x may change what port_rare_last() declares (r0, r18-r25, r30), which
 * the interrupt has saved at its start anyhow.
 */

.macro save registers:vararg
.irp register, \registers
  push \register
.endr
.endm

.macro rare part
.global rare_\part
rare_\part:
  save r0, r18, r19, r20, r21, r22, r23, r24, r25, r26, r27, r30, r31
  call \part
.irp register, r31, r30, r27, r26, r25, r24, r23, r22, r21, r20, r19, r18, r0
  pop \register
.endr
  ret
.endm

.macro last part
.global last_\part
last_\part:
  save r26, r27, r31
  call \part
.irp register, r31, r27, r26
  pop \register
.endr
  ret
.endm

rare tick_trip
rare tick_look
last tick_segment
last tick_ramp
