import { describe, expect, test } from 'vitest'
import { latestEdition } from './editions/list.ts'
import { changedVisit, contribution, notJson } from './testing.ts'

const GAUGE = 'gauge-100'
const SOUNDER = 'sounder-a'

describe('instruments on record', () => {
  test('one named for a use it can’t have had says nothing of the reading: the defaults hold', () => {
    const visit = changedVisit(({ instruments }) => {
      Object.assign(instruments!, { level: GAUGE, pressure: SOUNDER, flow: GAUGE })
    })
    expect(notJson(visit.evaluation)).toEqual([])
    const level = visit.trace('pumping-water-level')
    expect(contribution(level, /sounder-resolution/)).toBeCloseTo(latestEdition.defaults['sounder-resolution'].u, 12)
    expect(contribution(level, /level-resolution/)).toBe(0)
    expect(contribution(visit.trace('gauge-head'), /gauge-resolution/)).toBeGreaterThan(0)
    const uncertified = contribution(visit.trace('flow'), /pitot-coefficient/) / visit.result('flow').value
    expect(uncertified).toBeCloseTo(0.015, 12)
  })

  test('a step on record in a unit of something else is as good as none', () => {
    const visit = changedVisit((_, { instruments }) => {
      for (const instrument of instruments) instrument.resolution = { value: 1, unit: 'furlong' }
    })
    expect(notJson(visit.evaluation)).toEqual([])
    expect(contribution(visit.trace('pumping-water-level'), /sounder-resolution/)).toBeGreaterThan(0)
  })

  test('an accuracy on record is told as its source, a default as the edition’s', () => {
    const sources = (visit: ReturnType<typeof changedVisit>) =>
      new Map(visit.trace('total-dynamic-head').components.map(({ id, source }) => [id.split('#')[1], source.document]))
    const usual = sources(changedVisit())
    expect(usual.get('gauge-accuracy')).toBe('certificate or class on record')
    expect(usual.get('sounder-scale')).toBe('common practice')
    const other = sources(
      changedVisit((_, { instruments }) => {
        delete instruments.find(({ code }) => code === GAUGE)!.accuracy
        instruments.find(({ code }) => code === SOUNDER)!.accuracy = { percent: 0.1, of: 'reading', stated: 'limit' }
      }),
    )
    expect(other.get('gauge-accuracy')).toBe('common practice')
    expect(other.get('sounder-scale')).toBe('certificate or class on record')
  })

  test('one that is not on record is still one instrument: its errors are shared', () => {
    const visit = changedVisit(({ instruments }, context) => {
      instruments!.level = 'sounder-z'
      context.instruments.length = 0
    })
    const trace = visit.trace('drawdown')
    expect(contribution(trace, /sounder-offset/)).toBe(0)
    expect(trace.components.map(({ place }) => place)).toContain('instrument/sounder-z')
  })
})
