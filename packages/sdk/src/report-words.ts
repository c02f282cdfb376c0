/** A report about a bundle in words, alike for a terminal and for a page. */
import {
  type BundleReport,
  type BundleSignature,
  decisionsThatCount,
  type LaterEntry,
  type VerifiedTest,
} from './verify.ts'

export const whole = (n: number): string => n.toLocaleString('en')
export const counted = (n: number, one: string, many = `${one}s`): string => `${whole(n)} ${n === 1 ? one : many}`
export const time = (at: string): string => at.replace('T', ' ').replace(/(:\d\d)\.\d+Z$/, '$1 UTC')

/** One, and many, of each kind of entry. */
const KINDS: Readonly<Record<string, readonly [string, string]>> = {
  test: ['test', 'tests'],
  revision: ['revision', 'revisions'],
  withdrawal: ['withdrawal', 'withdrawals'],
  'finding-decision': ['decision on a finding', 'decisions on findings'],
  'finding-decision-erased': ['erasure of the words of a decision', 'erasures of the words of decisions'],
  'record-findings': ['comparison with the record', 'comparisons with the record'],
  note: ['note', 'notes'],
  'note-erased': ['erasure of a note', 'erasures of notes'],
  'rule-set': ['published rule set', 'published rule sets'],
  'quality-draw': ['announced draw of visits', 'announced draws of visits'],
  'quality-drawing': ['draw of visits', 'draws of visits'],
  'quality-visit-step': ['step of a quality visit', 'steps of quality visits'],
  'signing-key': ['signing key', 'signing keys'],
}

/** `2 tests, 1 decision on a finding`. */
export function entriesInWords({ counts: { kinds } }: BundleReport): string {
  return Object.entries(kinds)
    .map(([kind, n]) => counted(n, ...(Object.hasOwn(KINDS, kind) ? KINDS[kind]! : ([kind, kind] as const))))
    .join(', ')
}

export const SIGNATURE_TITLES = {
  log: 'Signed by',
  witness: 'Witness',
  unknown: 'Not checked',
  'does-not-fit': 'Does not fit',
} as const satisfies Readonly<Record<BundleSignature['by'], string>>

export function signatureInWords({ name, by, at }: BundleSignature): string {
  if (by === 'unknown') return `signature of ${name}: no key given`
  if (by === 'does-not-fit') return `signature of ${name}: under the given key, but not of this text`
  return at === undefined ? name : `${name}, ${time(at)}`
}

const percent = (ratio: number): string => `${(100 * ratio).toFixed(2)} %`

/** What was measured with which outcome, to be held against a figure on paper; undefined where it isn’t known. */
export function detailsInWords({
  details,
}: VerifiedTest): { readonly visit: string; readonly outcome: string } | undefined {
  if (details === undefined) return undefined
  const { plant, tester, testedOn, soundness, overallPlantEfficiency: efficiency, efficiencyWithheld } = details
  const outcome = [
    ...(efficiency === undefined ? [] : [`${percent(efficiency.value)} ± ${percent(efficiency.expandedUncertainty)}`]),
    ...(efficiencyWithheld === undefined ? [] : [`not reported (${efficiencyWithheld})`]),
    ...(soundness === undefined ? [] : [`${soundness.replace('-', ' ')} by its findings`]),
  ]
  return { visit: `plant ${plant}, tested on ${testedOn} by ${tester}`, outcome: outcome.join(', ') }
}

function saidOf(entry: LaterEntry): string {
  if (entry.kind === 'withdrawal') return `withdrawn on ${time(entry.at)} (${entry.reason})`
  if (entry.kind === 'revision') return `superseded by ${entry.supersededBy} on ${time(entry.at)} (${entry.reason})`
  if (entry.kind === 'record-findings') {
    const found = entry.found.map(({ severity, finding, message }) => `${severity} ${finding}: ${message}`)
    return `compared with the record on ${time(entry.at)}: ${found.join(' ')}`
  }
  const { finding, run, place, outcome, program, at } = entry
  const where = [run === undefined ? [] : `run ${run + 1}`, place === '' ? [] : place].flat().join(', ')
  const what = outcome === 'stands' ? 'stands' : 'does not stand'
  return `hold ${finding}${where === '' ? '' : ` (${where})`}: ${what}, by program ${program} on ${time(at)}`
}

/** What entries say of a test, a line each: of decisions, those that count. */
export function laterInWords(test: VerifiedTest): string[] {
  const counting = new Set<LaterEntry>(decisionsThatCount(test))
  return (test.later ?? [])
    .filter((entry) => entry.kind !== 'finding-decision' || counting.has(entry))
    .map((entry) => (entry.test === test.id ? saidOf(entry) : `${entry.test}: ${saidOf(entry)}`))
}

/** Whether there is more to say of a test than that it was verified. */
export const isToBeMinded = ({ ok, later, details }: VerifiedTest): boolean =>
  !ok || later !== undefined || (details?.soundness ?? 'sound') !== 'sound'

/** What is to be minded about tests that were verified; undefined where nothing is. */
function caveatsInWords({ counts: { tests, caveats } }: BundleReport): string | undefined {
  const parts = (
    [
      [caveats.withdrawn, 'was withdrawn', 'were withdrawn'],
      [caveats.superseded, 'was superseded', 'were superseded'],
      [caveats.unsound, 'is unsound by its findings', 'are unsound by their findings'],
      [caveats.inQuestion, 'is in question by its findings', 'are in question by their findings'],
      [caveats.holdStands, 'has a hold that stands', 'have a hold that stands'],
    ] as const
  ).filter(([n]) => n > 0)
  if (parts.length === 0) return undefined
  return parts
    .map(
      ([n, one, many], place) =>
        `${whole(n)}${place === 0 ? ` of ${counted(tests, 'test')}` : ''} ${n === 1 ? one : many}`,
    )
    .join(', ')
}

/** How the verdict on a verified bundle goes on behind “verified”, and whether there is something to mind. */
export function verdictInWords(report: BundleReport): { readonly rest: string; readonly minded: boolean } {
  const { tests, replayed } = report.counts
  const received = 'signed by the log, in the log, and as received'
  const shown =
    tests === 0
      ? 'the checkpoint is signed by the log, and the entries are in it.'
      : replayed === tests
        ? `${received}; the same calculation gives the same evaluation.`
        : `${received}. The calculation was not repeated.`
  const caveats = caveatsInWords(report)
  if (caveats === undefined) return { rest: `: ${shown}`, minded: false }
  return { rest: `; ${caveats}. Otherwise: ${shown}`, minded: true }
}

/** How far a bundle reaches: whoever passes it on can leave entries out. */
export const reachInWords = (size: number): string =>
  `This holds for the entries in the file, up to log size ${whole(size)}. Whether something was recorded about a test ` +
  'later, or was left out of the file, ask the service (/v1/ledger/entries?test=…), or fetch the bundle yourself.'
