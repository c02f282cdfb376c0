/** Near misses: what the writer probably meant. */

const DISTANCE_MAX = 2

/** The candidate nearest to `word`, if it is within two edits (a swap of neighbours counts as one); case doesn't count. */
export function nearest(word: string, candidates: readonly string[]): string | undefined {
  let best: string | undefined
  let bestDistance = DISTANCE_MAX + 1
  if (word.length > 100) return undefined
  for (const candidate of candidates) {
    if (Math.abs(candidate.length - word.length) > DISTANCE_MAX) continue
    const distance = editDistance(word.toLowerCase(), candidate.toLowerCase())
    // Of a very short name nearly everything is two edits away.
    if (distance < bestDistance && distance < Math.max(candidate.length, word.length)) {
      best = candidate
      bestDistance = distance
    }
  }
  return best
}

/** Least number of insertions, deletions, replacements and swaps of neighbours (optimal string alignment). */
export function editDistance(a: string, b: string): number {
  let before: number[] = []
  let above = Array.from({ length: b.length + 1 }, (_, column) => column)
  for (let row = 1; row <= a.length; row++) {
    const current = [row]
    for (let column = 1; column <= b.length; column++) {
      const same = a[row - 1] === b[column - 1]
      let least = Math.min(above[column]! + 1, current[column - 1]! + 1, above[column - 1]! + (same ? 0 : 1))
      const swapped = row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1]
      if (swapped) least = Math.min(least, before[column - 2]! + 1)
      current.push(least)
    }
    before = above
    above = current
  }
  return above[b.length]!
}
