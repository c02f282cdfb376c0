import { describe, expect, test } from 'vitest'
import { Buckets, rateLimitFields, shareOf } from './rate-limit.ts'

let nowMs = Date.UTC(2026, 4, 12)
const now = () => new Date(nowMs)
const buckets = (perMinute: number, bucketsMax = 100) => new Buckets({ perMinute, bucketsMax }, now)
const takes = (from: Buckets, name: string, times: number) =>
  Array.from({ length: times }, () => from.take(name).allowed)

describe('a bucket', () => {
  test('gives what it holds and no more', () => {
    const three = buckets(3)
    expect(takes(three, 'a', 5)).toEqual([true, true, true, false, false])
    expect(takes(three, 'b', 1)).toEqual([true])
  })

  test('fills evenly: one more every twentieth of a minute, never above the brim', () => {
    const twenty = buckets(20)
    takes(twenty, 'a', 20)
    nowMs += 2_999
    expect(twenty.take('a')).toMatchObject({ allowed: false, left: 0 })
    nowMs += 1
    expect(takes(twenty, 'a', 2)).toEqual([true, false])
    nowMs += 3_600_000
    expect(takes(twenty, 'a', 21).filter(Boolean)).toHaveLength(20)
  })

  test('says how long until one more is there, and until it is full', () => {
    const sixty = buckets(60)
    expect(sixty.take('a')).toEqual({ allowed: true, left: 59, nextS: 0, fullS: 1 })
    takes(sixty, 'a', 59)
    nowMs += 250
    const empty = sixty.take('a')
    expect(empty.nextS).toBeCloseTo(0.75)
    expect(empty.fullS).toBeCloseTo(59.75)
    nowMs += empty.nextS * 1000
    expect(sixty.take('a').allowed).toBe(true)
  })

  test('takes nothing by being looked at', () => {
    const one = buckets(1)
    for (let n = 0; n < 5; n++) expect(one.look('a')).toMatchObject({ allowed: true, left: 1 })
    one.take('a')
    expect(one.look('a').allowed).toBe(false)
  })

  test('neither fills nor breaks when the clock is set back', () => {
    const two = buckets(2)
    takes(two, 'a', 2)
    nowMs -= 3_600_000
    expect(two.take('a')).toMatchObject({ allowed: false, left: 0, nextS: 30 })
    nowMs += 30_000
    expect(two.take('a').allowed).toBe(true)
  })
})

describe('buckets', () => {
  test('are bounded: of a million names as many are kept as may be, those used last', () => {
    const few = buckets(2, 1_000)
    takes(few, 'first', 2)
    for (let n = 0; n < 1_000_000; n++) {
      few.take(`name ${n}`)
      if (n % 500 === 0) few.take('first')
    }
    expect(few.size).toBe(1_000)
    expect(few.look('first').allowed).toBe(false)
    expect(few.look('name 0').left).toBe(2)
    expect(few.look('name 999999').left).toBe(1)
  })
})

test.each([
  [600, 1, 600],
  [600, 4, 150],
  [600, 7, 85],
  [2, 8, 1],
])('%d a minute over %d processes are %d for each', (perMinute, processes, share) => {
  expect(shareOf(perMinute, processes)).toBe(share)
})

test('the fields tell policy and level', () => {
  const { quota } = buckets(600)
  expect(rateLimitFields('key', quota, { allowed: true, left: 412, nextS: 0, fullS: 18.8 })).toEqual({
    'ratelimit-policy': '"key";q=600;w=60',
    ratelimit: '"key";r=412;t=19',
  })
})
