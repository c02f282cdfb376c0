import type { Finding } from '../../evaluation.ts'
import { ourJudgement } from '../../findings/sources.ts'
import { changedPlaces } from '../changed-places.ts'
import type { Comparison } from '../comparison.ts'
import { defineRecordFinding, type Figures } from '../record-finding.ts'

type Raised = Pick<Finding, 'id' | 'severity' | 'run'>

interface Turn extends Figures {
  /** How much of the sheet was changed or taken out. */
  readonly changes: number
  readonly firstChange: string
  /** Ids of rejects and holds that are no longer raised. */
  readonly fallen: readonly string[]
  /** True if the version before was held by this, too: what fell with it has not come back by being sent again. */
  readonly carried: boolean
}

const isGrave = ({ severity }: Raised): boolean => severity === 'reject' || severity === 'hold'
const keyOf = ({ id, run }: Raised): string => `${id} ${run ?? ''}`

const example = (changes: number, ...fallen: string[]): Turn => ({
  ...{ against: ['other'], ofOtherFirm: false, changes, firstChange: '/runs/0/power/multiplier', fallen },
  carried: false,
})

const SHOWN = 3
const listed = (ids: readonly string[]): string =>
  ids.length <= SHOWN ? ids.join(', ') : `${ids.slice(0, SHOWN).join(', ')} and ${ids.length - SHOWN} more`

export const revisionTurnsTheOutcome = defineRecordFinding({
  id: 'revision-turns-the-outcome',
  group: 'integrity',
  severity: 'hold',
  place: '',
  rule: 'A revision changes or takes out what stood on the sheet, and a reject or a hold falls away; or it follows one that did.',
  why: 'A correction does this too; a person should see its reason.',
  compared: (comparison: Comparison, beside: readonly Raised[]): Turn[] => {
    const { subject, record } = comparison
    const { revised, foundInRevised = [] } = record
    if (revised === undefined) return []
    const changes = changedPlaces(revised.sheet, subject.sheet)
    const still = new Set([...subject.evaluation.findings, ...beside].filter(isGrave).map(keyOf))
    const isThis = ({ id }: Raised): boolean => id === 'revision-turns-the-outcome'
    const before = [...revised.evaluation.findings, ...foundInRevised].filter(
      (finding) => isGrave(finding) && !isThis(finding),
    )
    const fallen = before.filter((finding) => !still.has(keyOf(finding))).map(({ id }) => id)
    return [
      {
        ...comparison.with(revised),
        ...{ changes: changes.length, firstChange: changes[0] ?? '', fallen: [...new Set(fallen)] },
        carried: foundInRevised.some(isThis),
      },
    ]
  },
  measures: { changes: '1' },
  limits: [],
  raised: ({ changes, fallen, carried }) => carried || (changes > 0 && fallen.length > 0),
  message: ({ changes, firstChange, fallen, carried }) =>
    carried && fallen.length === 0
      ? 'The version before turned the outcome by what it changed; that is still to be decided on, of this version.'
      : `The revision changes ${firstChange === '' ? 'the sheet' : firstChange}${changes > 1 ? ` and ${changes - 1} more` : ''}; no longer raised: ${listed(fallen)}.`,
  remedy:
    'Say in the notes why the earlier reading was wrong, and keep the field note or photograph that shows the true one. Both versions stay readable.',
  source: ourJudgement('what was only added is no change: a finding had asked for it'),
  examples: {
    passes: [example(0, 'multiplier-differs-from-record'), example(1)],
    raises: [
      { ...example(0), carried: true },
      example(1, 'multiplier-differs-from-record'),
      example(4, 'a', 'b', 'c', 'd', 'e'),
    ],
  },
})
