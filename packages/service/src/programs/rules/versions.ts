/** Versions of a program's rules: which one is in force on a day, and whether one may follow the others. */
import { type Contradiction, contradiction } from './contradiction.ts'
import { dayNumber, daysLater, isWithin, overlap } from './days.ts'
import type { RuleSetContent } from './schema.ts'

export type VersionDays = Pick<RuleSetContent, 'version' | 'inForceFrom' | 'inForceTo' | 'pausedFrom'>

const windowOf = ({ inForceFrom, inForceTo }: VersionDays) => ({ first: inForceFrom, last: inForceTo })

/** The version in force on a day; versions do not overlap, so that there is one at most. */
export const inForceOn = <V extends VersionDays>(versions: readonly V[], day: string): V | undefined =>
  versions.find((version) => isWithin(day, windowOf(version)))

/** What stands in the way of publishing a version beside those that are published. */
export function checkVersions(next: VersionDays, published: readonly VersionDays[]): Contradiction[] {
  const at = { pointer: '/inForceFrom' }
  if (dayNumber(next.inForceFrom) > dayNumber(next.inForceTo)) {
    const message = `The version begins on ${next.inForceFrom} and ends on ${next.inForceTo}.`
    return [contradiction('window-reversed', message, at, { pointer: '/inForceTo' })]
  }
  const overlaps = published.flatMap((other) => {
    if (!overlap(windowOf(next), windowOf(other))) return []
    const message = `Version ${other.version} is in force from ${other.inForceFrom} to ${other.inForceTo}, version ${next.version} from ${next.inForceFrom} to ${next.inForceTo}.`
    return [contradiction('versions-overlap', message, at, { pointer: '/inForceTo', version: other.version })]
  })
  if (overlaps.length > 0) return overlaps
  const last = published.toSorted((one, other) => other.version - one.version)[0]
  return [...checkNumber(next, last), ...checkGap(next, last)]
}

function checkNumber(next: VersionDays, last: VersionDays | undefined): Contradiction[] {
  const due = (last?.version ?? 0) + 1
  if (next.version === due) return []
  const before = last === undefined ? [] : [{ pointer: '/version', version: last.version }]
  return [
    contradiction(
      'version-not-next',
      `The next version is ${due}, and this is ${next.version}.`,
      { pointer: '/version' },
      ...before,
    ),
  ]
}

/** A version follows the last one the day after it, or says from when there was a pause. */
function checkGap(next: VersionDays, last: VersionDays | undefined): Contradiction[] {
  const stated = { pointer: '/pausedFrom' }
  if (last === undefined) {
    if (next.pausedFrom === undefined) return []
    return [contradiction('gap-not-stated', 'Nothing was paused before the first version.', stated)]
  }
  const begin = { pointer: '/inForceFrom' }
  const before = { pointer: '/inForceTo', version: last.version }
  const due = daysLater(last.inForceTo, 1)
  if (next.inForceFrom < due) {
    const message = `Version ${last.version} ends on ${last.inForceTo}; a version comes after those published before it.`
    return [contradiction('version-not-next', message, begin, before)]
  }
  if (next.inForceFrom === due) {
    if (next.pausedFrom === undefined) return []
    return [
      contradiction(
        'gap-not-stated',
        `There is no pause: version ${last.version} ends the day before.`,
        stated,
        before,
      ),
    ]
  }
  if (next.pausedFrom === due) return []
  const message = `No version is in force from ${due} to ${daysLater(next.inForceFrom, -1)}; state it as pausedFrom ${due}.`
  return [contradiction('gap-not-stated', message, next.pausedFrom === undefined ? begin : stated, before)]
}
