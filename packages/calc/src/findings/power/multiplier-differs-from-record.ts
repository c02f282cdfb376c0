import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const multiplierDiffersFromRecord = defineFinding({
  id: 'multiplier-differs-from-record',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power/multiplier',
  decidedFrom: 'context',
  rule: 'Meter constant times multiplier differs from the plant’s record.',
  why: 'A factor of ten or a transformer ratio left out makes power and cost wrong by that factor.',
  needs: ['meterConstant', 'meterMultiplier', 'recordMeterConstant', 'recordMeterMultiplier'],
  limits: ['constantTolerance'],
  // The product is compared, since a face may show the primary constant, or constant and multiplier apart.
  raised: ({ meterConstant, meterMultiplier, recordMeterConstant, recordMeterMultiplier }, limits) => {
    const record = recordMeterConstant * recordMeterMultiplier
    return exceeds(Math.abs(meterConstant * meterMultiplier - record), limits.constantTolerance * record)
  },
  message: ({ meterConstant, meterMultiplier, recordMeterConstant, recordMeterMultiplier }, say) =>
    `Constant times multiplier is ${say.number((meterConstant * meterMultiplier) / 3600)} Wh a count on this sheet and ${say.number((recordMeterConstant * recordMeterMultiplier) / 3600)} Wh a count in the plant’s record; they are expected to agree.`,
  remedy:
    'Read constant and multiplier again from the face of the meter or the utility’s card, from outside. If the meter was changed, record it.',
  cautions: ['electrical-panel'],
  source: ourJudgement('half a percent allows for rounding on the plate'),
  examples: {
    passes: [
      { meterConstant: 6480, meterMultiplier: 40, recordMeterConstant: 6480, recordMeterMultiplier: 40 },
      { meterConstant: 259_200, meterMultiplier: 1, recordMeterConstant: 6480, recordMeterMultiplier: 40 },
      { meterConstant: 6512.4, meterMultiplier: 40, recordMeterConstant: 6480, recordMeterMultiplier: 40 },
    ],
    raises: [
      { meterConstant: 6480, meterMultiplier: 1, recordMeterConstant: 6480, recordMeterMultiplier: 40 },
      { meterConstant: 6480, meterMultiplier: 400, recordMeterConstant: 6480, recordMeterMultiplier: 40 },
    ],
  },
})
