import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const gaugeBeyondThrottledValve = defineFinding({
  id: 'gauge-beyond-throttled-valve',
  group: 'pressure',
  severity: 'caution',
  place: '/runs/*/dischargePressure',
  decidedFrom: 'sheet',
  rule: 'The gauge stands downstream of a valve that is partly closed.',
  why: 'Head lost in the valve is charged to the pump.',
  needs: ['beyondThrottledValve'],
  limits: [],
  raised: ({ beyondThrottledValve }) => beyondThrottledValve,
  message: () =>
    'The pressure was read downstream of a partly closed valve; the tap between pump and valve is expected.',
  remedy: 'Read at a tap between pump and valve, if there is one that can be used safely.',
  cautions: ['pressure-and-hammer', 'chemigation'],
  source: commonPractice('the plant ends at the discharge tap before the valve'),
  examples: { passes: [{ beyondThrottledValve: false }], raises: [{ beyondThrottledValve: true }] },
})
