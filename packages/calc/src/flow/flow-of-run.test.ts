/** Flow through several pipes, and flows that are only compared. */
import { describe, expect, test } from 'vitest'
import { namedInstruments } from '../named-instruments.ts'
import type { Run, Sheet } from '../sheet.ts'
import { sheetProblems } from '../sheet-problems.ts'
import { changedVisit, contribution } from '../testing.ts'
import type { FlowReadings } from './flow-of-run.ts'
import type { SingleFlow } from './list.ts'

const gpm = (value: number) => ({ value, unit: 'gpm' as const })
const inches = (value: number) => ({ value, unit: 'in' as const })
const rateOf = (value: number, instrument?: string): SingleFlow => ({
  method: 'meter-rate',
  rates: [gpm(value)],
  ...(instrument === undefined ? {} : { instrument }),
})
const severalPipes = (...pipes: SingleFlow[]): FlowReadings => ({ method: 'several-pipes', pipes })

/** SHEET-01 with its first run changed. */
const withRun = (change: (run: Run, sheet: Sheet) => void) => changedVisit((sheet) => change(sheet.runs[0]!, sheet))

const findingsOf = (visit: ReturnType<typeof withRun>, id: string) =>
  visit.evaluation.findings.filter((finding) => finding.id === id)

describe('several pipes', () => {
  test('add up, whatever each is measured by', () => {
    const alone = changedVisit()
    const tested = alone.result('flow').value
    const both = withRun((run) => {
      run.flow = severalPipes(run.flow as SingleFlow, rateOf(100))
    })
    expect(both.result('flow').value).toBeCloseTo(tested + (100 * 231 * 0.0254 ** 3) / 60, 12)
  })

  test('read with one instrument share its error, and with two do not', () => {
    const u = (first: string, second: string) => {
      const visit = withRun((run) => {
        run.flow = severalPipes(rateOf(400, first), rateOf(400, second))
      })
      return contribution(visit.trace('flow'), /flow-meter/) / visit.result('flow').value
    }
    expect(u('meter-a', 'meter-a')).toBeCloseTo(0.04, 10)
    expect(u('meter-a', 'meter-b')).toBeCloseTo(0.04 / Math.SQRT2, 10)
  })

  test('give no flow, and no results that need one, where one of them has none', () => {
    const visit = withRun((run) => {
      run.flow = severalPipes(rateOf(400), { method: 'meter-rate', rates: [] })
    })
    expect(visit.evaluation.results.map(({ quantity }) => quantity)).not.toContain('flow')
    expect(findingsOf(visit, 'flow-reading-missing').map(({ place }) => place)).toEqual(['/runs/0/flow/pipes/1'])
  })

  test('say once that no flow was read, where none was', () => {
    const visit = withRun((run) => {
      run.flow = severalPipes({ method: 'meter-rate', rates: [] }, { method: 'meter-rate', rates: [] })
    })
    expect(findingsOf(visit, 'flow-reading-missing').map(({ place }) => place)).toEqual(['/runs/0/flow'])
  })

  test('are judged each by itself, at its own place', () => {
    const weak: SingleFlow = {
      method: 'ultrasonic-rate',
      rates: [gpm(400)],
      signalShare: { value: 0.3, unit: '1' },
      pipe: { insideDiameters: [inches(8)], diameterBasis: 'pipe-table', straightUpstream: inches(40) },
    }
    const visit = withRun((run) => {
      run.flow = severalPipes(rateOf(400), weak)
    })
    for (const [id, place] of [
      ['ultrasonic-signal-weak', '/runs/0/flow/pipes/1/signalShare'],
      ['pipe-diameter-from-table', '/runs/0/flow/pipes/1/pipe/diameterBasis'],
      ['straight-run-short-upstream', '/runs/0/flow/pipes/1/pipe/straightUpstream'],
    ] as const)
      expect(
        findingsOf(visit, id).map((finding) => finding.place),
        id,
      ).toEqual([place])
  })

  test('keep back what rests on a pipe that is rejected', () => {
    const backwards: SingleFlow = {
      method: 'ultrasonic-velocity',
      velocities: [{ value: 3, unit: 'ft/s' }],
      pipe: { insideDiameters: [inches(8)], diameterBasis: 'measured' },
    }
    const fast = structuredClone(backwards)
    fast.velocities[0]!.value = 60
    const flowOf = (pipe: SingleFlow) =>
      withRun((run) => {
        run.flow = severalPipes(rateOf(400), pipe)
      }).evaluation
    expect(flowOf(backwards).withheld.map(({ quantity }) => quantity)).not.toContain('flow')
    expect(flowOf(fast).withheld).toContainEqual({ run: 0, quantity: 'flow', because: 'pipe-velocity-impossible' })
  })

  test('need a diameter at the tap for the velocity head', () => {
    const visit = withRun((run) => {
      run.flow = severalPipes(rateOf(400), rateOf(500))
      delete run.dischargePressure!.insideDiameterAtTap
    })
    expect(findingsOf(visit, 'tap-diameter-missing')).toHaveLength(1)
    const known = withRun((run) => {
      run.flow = severalPipes(rateOf(400), rateOf(500))
      run.dischargePressure!.insideDiameterAtTap = inches(9.95)
    })
    expect(known.result('velocity-head').value).toBeGreaterThan(0)
  })

  test('have problems of shape at their own places, and name their instruments', () => {
    const sheet = sheetWith(severalPipes(rateOf(400, 'meter-a'), rateOf(90, 'meter-b')))
    expect(namedInstruments(sheet)).toContainEqual({ code: 'meter-b', pointer: '/runs/0/flow/pipes/1/instrument' })
    const wrong = sheetWith(
      severalPipes(rateOf(400), {
        method: 'ultrasonic-rate',
        rates: [gpm(400)],
        pipe: {
          outsideDiameter: inches(8.6),
          outsideCircumference: inches(27),
          wallThickness: inches(0.2),
          diameterBasis: 'outside-and-wall',
        },
      }),
    )
    expect(sheetProblems(wrong).map(({ pointer }) => pointer)).toEqual([
      '/runs/0/flow/pipes/1/pipe/outsideCircumference',
    ])
  })
})

function sheetWith(flow: FlowReadings): Sheet {
  return { plant: 'AM-01', kind: 'well', testedOn: '2026-05-12', tester: 'T-01', runs: [{ flow }] }
}

describe('a second method', () => {
  const beside = (gpmOfOther: number) =>
    withRun((run) => {
      run.flow = rateOf(1000)
      run.comparisonFlow = rateOf(gpmOfOther)
    })

  test('gives the difference with its interval, above zero where it shows more', () => {
    const visit = beside(1030)
    const { value, standardUncertainty } = visit.result('flow-difference')
    expect(value).toBeCloseTo(0.03, 12)
    // Two meters of 4 % each.
    expect(standardUncertainty).toBeGreaterThan(0.04 * Math.SQRT2)
    expect(standardUncertainty).toBeLessThan(0.06)
  })

  test('changes nothing about the tested flow', () => {
    const alone = withRun((run) => {
      run.flow = rateOf(1000)
    })
    expect(beside(1500).result('flow')).toEqual(alone.result('flow'))
  })

  test('puts the test in question where both can’t be right, and not before', () => {
    expect(findingsOf(beside(1090), 'flow-methods-disagree')).toEqual([])
    const [finding] = findingsOf(beside(1300), 'flow-methods-disagree')
    expect(finding?.severity).toBe('hold')
    expect(finding?.message).toMatch(/^The second method gives 30 % more/)
    expect(findingsOf(beside(700), 'flow-methods-disagree')[0]?.message).toMatch(/30 % less/)
  })

  test('that is unusable does not make the test so', () => {
    const visit = withRun((run) => {
      run.comparisonFlow = {
        method: 'meter-totaliser',
        start: { value: 20, unit: 'm3' },
        end: { value: 10, unit: 'm3' },
        multiplier: { value: 1, unit: '1' },
        elapsed: { value: 10, unit: 'min' },
      }
    })
    const [finding] = findingsOf(visit, 'totaliser-runs-backwards')
    expect(finding?.severity).toBe('caution')
    expect(finding?.place).toMatch(/^\/runs\/0\/comparisonFlow/)
    expect(visit.evaluation.soundness).toBe('sound')
    expect(visit.evaluation.results.map(({ quantity }) => quantity)).not.toContain('flow-difference')
  })

  test('is kept back by its own findings, and the tested flow is not', () => {
    const visit = withRun((run) => {
      run.comparisonFlow = {
        method: 'ultrasonic-velocity',
        velocities: [{ value: 60, unit: 'ft/s' }],
        pipe: { insideDiameters: [inches(8)], diameterBasis: 'measured' },
      }
    })
    const { withheld } = visit.evaluation
    const because = 'pipe-velocity-impossible'
    expect(withheld).toContainEqual({ run: 0, quantity: 'comparison-flow', because })
    expect(withheld).toContainEqual({ run: 0, quantity: 'flow-difference', because })
    expect(visit.result('flow').value).toBeGreaterThan(0)
  })
})

describe('the grower’s meter', () => {
  const visit = withRun((run) => {
    run.flow = rateOf(1000, 'meter-a')
    run.growersMeter = { method: 'meter-rate', rates: [gpm(930), gpm(930)], meterSerial: 'F-9' }
  })

  test('has an error below zero where it reads low', () => {
    expect(visit.result('growers-meter-error').value).toBeCloseTo(-0.07, 12)
    expect(visit.result('growers-meter-error').shown.unit).toBe('%')
  })

  test('is not known better or worse by its own accuracy: that is what is asked', () => {
    const trace = visit.trace('growers-meter-error')
    expect(trace.components.map(({ place }) => place)).toContain('instrument/meter-a')
    expect(contribution(trace, /flow-meter/) / (930 / 1000)).toBeCloseTo(0.04, 10)
  })

  test('does not put the test in question, however far off', () => {
    const off = withRun((run) => {
      run.growersMeter = { method: 'meter-rate', rates: [gpm(3)] }
    })
    expect(off.evaluation.soundness).toBe('sound')
    expect(off.result('growers-meter-error').value).toBeLessThan(-0.9)
  })
})
