import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const driveOutputMeasured = defineFinding({
  id: 'drive-output-measured',
  group: 'power',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Power was measured between drive and motor.',
  why: 'The loss of the drive is left out and had to be taken from its efficiency.',
  needs: ['driveOutputMeasured', 'driveEfficiency'],
  limits: [],
  raised: ({ driveOutputMeasured }) => driveOutputMeasured,
  message: ({ driveEfficiency }, say) =>
    `Power was read behind the drive; an efficiency of ${say.percent(driveEfficiency)} was taken for it, where power at the supply is expected.`,
  remedy: 'Time the utility meter from outside instead.',
  cautions: ['electrical-panel', 'arc-flash', 'capacitors-and-drives', 'alone'],
  source: ourJudgement('instruments for mains are wrong behind a drive, and its loss is not known on the day'),
  examples: {
    passes: [{ driveOutputMeasured: false, driveEfficiency: 0.97 }],
    raises: [{ driveOutputMeasured: true, driveEfficiency: 0.97 }],
  },
})
