import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const totaliserVolumeTooSmall = defineFinding({
  id: 'totaliser-volume-too-small',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'The volume timed on the totaliser is only a few of its last digits.',
  why: 'A register counts in whole digits, which limits the accuracy of flow.',
  needs: ['totaliserStep', 'totaliserVolume'],
  limits: ['maxResolution'],
  raised: ({ totaliserStep, totaliserVolume }, limits) =>
    exceeds(totaliserStep / Math.sqrt(6), limits.maxResolution * totaliserVolume),
  message: ({ totaliserStep, totaliserVolume }, say) =>
    `A volume of ${say.number(totaliserVolume / totaliserStep)} last digits of the register was timed; 41 or more keep its step below one percent of flow.`,
  remedy: 'Time longer, or time whole turns of the sweep hand.',
  source: ourJudgement('one percent keeps the step below the error of the meter itself'),
  examples: {
    passes: [
      { totaliserStep: 0.01, totaliserVolume: 0.01 / Math.sqrt(6) / 0.01 },
      { totaliserStep: 0.38, totaliserVolume: 47.7 },
    ],
    raises: [{ totaliserStep: 0.38, totaliserVolume: 14 }],
  },
})
