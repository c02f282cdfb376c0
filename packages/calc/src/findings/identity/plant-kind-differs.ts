import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const plantKindDiffers = defineFinding({
  id: 'plant-kind-differs',
  group: 'identity',
  severity: 'hold',
  place: '/kind',
  decidedFrom: 'context',
  rule: 'The kind of plant on the sheet is not the one on record.',
  why: 'Either another plant was tested or the record is wrong; head is counted differently for each kind.',
  needs: ['plantKind', 'recordPlantKind'],
  limits: [],
  raised: ({ plantKind, recordPlantKind }) => plantKind !== recordPlantKind,
  message: ({ plantKind, recordPlantKind }) =>
    `The sheet is for a ${plantKind}; the plant of this code is on record as a ${recordPlantKind}.`,
  remedy: 'Compare the code on the sheet with the one at the plant; if the record is wrong, have it corrected.',
  source: ourJudgement('a mistaken code names a plausible neighbour'),
  examples: {
    passes: [{ plantKind: 'well', recordPlantKind: 'well' }],
    raises: [{ plantKind: 'well', recordPlantKind: 'booster' }],
  },
})
