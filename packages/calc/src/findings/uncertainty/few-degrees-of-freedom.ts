import { defineFinding, fallsShort } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const fewDegreesOfFreedom = defineFinding({
  id: 'few-degrees-of-freedom',
  group: 'uncertainty',
  severity: 'note',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The uncertainty of overall plant efficiency rests on very few repeats.',
  why: 'Student’s factor widens the interval, and its width is itself not well known.',
  needs: ['efficiencyDegreesOfFreedom'],
  limits: ['minDof'],
  raised: ({ efficiencyDegreesOfFreedom }, limits) => fallsShort(efficiencyDegreesOfFreedom, limits.minDof),
  message: ({ efficiencyDegreesOfFreedom }, say, limits) =>
    `The uncertainty of overall plant efficiency has ${say.number(efficiencyDegreesOfFreedom)} degrees of freedom; ${say.number(limits.minDof)} or more are expected.`,
  remedy:
    'Two more repeats of the reading that stands first in the advice help a lot. A reading in a panel is for qualified staff only.',
  source: fromMemory('JCGM 100:2008', 'G.4, effective degrees of freedom'),
  examples: {
    passes: [{ efficiencyDegreesOfFreedom: 5 }, { efficiencyDegreesOfFreedom: 40 }],
    raises: [{ efficiencyDegreesOfFreedom: 4 }, { efficiencyDegreesOfFreedom: 1 }],
  },
})
