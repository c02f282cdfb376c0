/** Which of the forms an answer is offered in the caller wants (RFC 9110, 12.5.1). */
import { Problem } from './problem.ts'

interface Range {
  readonly type: string
  readonly weight: number
}

function rangesOf(field: string): Range[] {
  return field.split(',').map((part) => {
    const [type = '', ...parameters] = part.split(';').map((text) => text.trim().toLowerCase())
    const q = parameters.find((text) => text.startsWith('q='))
    const weight = q === undefined ? 1 : Number(q.slice(2))
    return { type, weight: weight >= 0 && weight <= 1 ? weight : 0 }
  })
}

/** Weight of a media type: that of the most specific range it falls in. */
function weightOf(offered: string, ranges: readonly Range[]): number {
  for (const type of [offered, `${offered.split('/')[0]}/*`, '*/*']) {
    const range = ranges.find((one) => one.type === type)
    if (range !== undefined) return range.weight
  }
  return 0
}

/** The form to answer in; the first offered where the caller has no preference. Throws `not-acceptable`. */
export function acceptedForm<const T extends string>(field: string | undefined, offered: readonly [T, ...T[]]): T {
  if (field === undefined || field.trim() === '') return offered[0]
  const ranges = rangesOf(field)
  const weights = offered.map((type) => weightOf(type, ranges))
  const best = Math.max(...weights)
  if (best === 0) throw new Problem('not-acceptable', `This is offered as ${offered.join(' or ')}.`)
  return offered[weights.indexOf(best)]!
}
