/** A count with its noun. */

/** `counted(1, 'timing')` is “1 timing”, `counted(2, 'timing')` is “2 timings”. */
export function counted(count: number, noun: string): string {
  return count === 1 ? `1 ${noun}` : `${count} ${noun}s`
}
