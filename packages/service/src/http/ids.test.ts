import { randomUUID } from 'node:crypto'
import { describe, expect, test } from 'vitest'
import { fromWire, toWire, uuidMaker, uuidOf } from './ids.ts'

describe('ids', () => {
  // Crockford base32 of 128 bits, right-aligned in 130: worked out by hand from the alphabet.
  test.each([
    ['00000000-0000-0000-0000-000000000000', 'tst_00000000000000000000000000'],
    ['00000000-0000-0000-0000-000000000020', 'tst_00000000000000000000000010'],
    ['ffffffff-ffff-ffff-ffff-ffffffffffff', 'tst_7ZZZZZZZZZZZZZZZZZZZZZZZZZ'],
    ['80000000-0000-0000-0000-000000000000', 'tst_40000000000000000000000000'],
  ])('%s is %s', (uuid, wire) => {
    expect(toWire('test', uuid)).toBe(wire)
    expect(fromWire('test', wire)).toBe(uuid)
  })

  test('go there and back, and sort as the UUIDs do', () => {
    const uuids = Array.from({ length: 2_000 }, () => randomUUID())
    const wires = uuids.map((uuid) => toWire('plant', uuid))
    expect(wires.map((wire) => fromWire('plant', wire))).toEqual(uuids)
    expect(wires.toSorted()).toEqual(uuids.toSorted().map((uuid) => toWire('plant', uuid)))
  })

  test.each([
    ['another prefix', 'plt_00000000000000000000000000'],
    ['lower case', 'tst_0000000000000000000000000a'],
    ['a letter that is not in the alphabet', 'tst_0000000000000000000000000U'],
    ['129 bits', 'tst_80000000000000000000000000'],
    ['one character less', 'tst_0000000000000000000000000'],
    ['one character more', 'tst_000000000000000000000000000'],
    ['a character beyond ASCII', 'tst_0000000000000000000000000Ä'],
    ['nothing', ''],
  ])('refuse %s as not found', (_, text) => {
    expect(fromWire('test', text)).toBeUndefined()
    expect(() => uuidOf('test', text)).toThrow(expect.objectContaining({ code: 'not-found' }))
  })

  test('are version 7, grow even when the clock stands still or goes back, and carry the time', () => {
    let time = 1_700_000_000_000
    const next = uuidMaker(() => time)
    const made: string[] = []
    for (let n = 0; n < 10_000; n++) made.push(next())
    time -= 60_000
    for (let n = 0; n < 10; n++) made.push(next())
    expect(made.toSorted()).toEqual(made)
    expect(new Set(made).size).toBe(made.length)
    for (const uuid of made)
      expect(uuid).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/)
    expect(Number.parseInt(made[0]!.replace('-', '').slice(0, 12), 16)).toBe(1_700_000_000_000)
  })
})
