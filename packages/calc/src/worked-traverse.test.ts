/** A traverse worked by hand: equal areas, 5 points a radius, two diameters, air over water, C = 1, no air density. */
import { describe, expect, test } from 'vitest'
import { flowInPipe } from './formulas/flow-in-pipe.ts'
import { pipeArea } from './formulas/pipe-area.ts'
import { pitotVelocity } from './formulas/pitot-velocity.ts'
import { traverseMeanVelocity } from './formulas/traverse-mean-velocity.ts'
import { fromSi, toSi } from './units.ts'

const DIAMETER = 9.95 // in
const columns = [
  [2.1, 2.6, 2.9, 3.1, 3.3, 3.3, 3.2, 2.9, 2.6, 2.0],
  [2.0, 2.5, 2.9, 3.2, 3.3, 3.2, 3.1, 3.0, 2.5, 2.1],
].flat() // in of water

const velocityOf = (inches: number): number =>
  pitotVelocity.value({ coefficient: 1, column: toSi({ value: inches, unit: 'in' }, 'length'), factor: 1 })

const velocities = columns.map(velocityOf)
const mean = traverseMeanVelocity.value({ velocities })
const area = pipeArea.value({ diameter: toSi({ value: DIAMETER, unit: 'in' }, 'length') })

describe('the worked traverse', () => {
  test('an inch of column is 2.31567 ft/s', () => {
    expect(fromSi(velocityOf(1), 'ft/s', 'velocity').toFixed(5)).toBe('2.31567')
    expect(fromSi(velocityOf(4), 'ft/s', 'velocity').toFixed(5)).toBe('4.63135')
  })

  test('the mean of the twenty velocities is 3.8547 ft/s', () => {
    expect(velocities).toHaveLength(20)
    expect(fromSi(mean, 'ft/s', 'velocity').toFixed(4)).toBe('3.8547')
  })

  test('one inch across at a foot a second is 2.44799 gpm', () => {
    const circle = pipeArea.value({ diameter: toSi({ value: 1, unit: 'in' }, 'length') })
    const flow = flowInPipe.value({ velocity: toSi({ value: 1, unit: 'ft/s' }, 'velocity'), area: circle })
    expect(fromSi(flow, 'gpm', 'flow').toFixed(5)).toBe('2.44799')
  })

  test('the flow is 934.2 gpm', () => {
    expect(fromSi(flowInPipe.value({ velocity: mean, area }), 'gpm', 'flow').toFixed(1)).toBe('934.2')
  })

  test('the root of the mean column would be 0.34 % too high, half the relative variance of the velocities', () => {
    const meanColumn = columns.reduce((sum, column) => sum + column, 0) / columns.length
    const excess = velocityOf(meanColumn) / mean - 1
    expect((excess * 100).toFixed(2)).toBe('0.34')
    const variance = velocities.reduce((sum, velocity) => sum + (velocity - mean) ** 2, 0) / velocities.length
    expect(excess).toBeCloseTo(variance / (2 * mean ** 2), 4)
  })
})
