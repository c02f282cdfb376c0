import { counted } from '../counted.ts'
import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const meterRevolutionsTooFew = defineFinding({
  id: 'meter-revolutions-too-few',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power/timings',
  decidedFrom: 'sheet',
  rule: 'Fewer revolutions of the disk than the limit were counted in a timing.',
  why: 'The mark on a slow disk is hard to catch at start and stop.',
  needs: ['fewestRevolutions'],
  limits: ['minRevolutions'],
  raised: ({ fewestRevolutions }, limits) => fallsShort(fewestRevolutions, limits.minRevolutions),
  message: ({ fewestRevolutions }, say, limits) =>
    `${counted(fewestRevolutions, 'revolution')} of the disk timed; at least ${say.number(limits.minRevolutions)} are expected.`,
  remedy: 'Time the meter again over more revolutions.',
  cautions: ['electrical-panel'],
  source: ourJudgement('a tenth of a revolution misjudged at start and stop is two percent of five'),
  examples: {
    passes: [{ fewestRevolutions: 5 }, { fewestRevolutions: 10 }],
    raises: [{ fewestRevolutions: 4 }, { fewestRevolutions: 1 }],
  },
})
