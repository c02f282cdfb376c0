import { describe, expect, test } from 'vitest'
import { Remembered } from './remembered.ts'

interface Row {
  readonly id: string
  readonly version: number
}

/** A memory whose questions are counted; what is asked for is made anew each time. */
function memory(found: (name: string) => Promise<Row | undefined> = async (id) => ({ id, version: 0 })) {
  const asked: string[] = []
  const state = { listening: true }
  const remembered = new Remembered<Row>(
    (name) => {
      asked.push(name)
      return found(name)
    },
    () => state.listening,
  )
  return { remembered, asked, state }
}

describe('what was looked up', () => {
  test('is remembered for five seconds, and for one where no word would come', async () => {
    const { remembered, asked, state } = memory()
    for (const ms of [0, 0, 1, 4_999]) await remembered.find('a', ms)
    expect(asked).toEqual(['a'])
    await remembered.find('a', 5_000)
    expect(asked).toEqual(['a', 'a'])
    state.listening = false
    await remembered.find('a', 5_999)
    expect(asked).toHaveLength(2)
    await remembered.find('a', 6_000)
    expect(asked).toHaveLength(3)
  })

  test('is asked for again when its name is told, and all when there was a gap', async () => {
    const { remembered, asked } = memory()
    for (const name of ['a', 'b']) await remembered.find(name, 0)
    remembered.forget('a')
    for (const name of ['a', 'b']) await remembered.find(name, 1)
    expect(asked).toEqual(['a', 'b', 'a'])
    remembered.clear()
    expect([remembered.has('a'), remembered.has('b')]).toEqual([false, false])
  })

  test('is not kept if word came while it was asked for', async () => {
    const answers: ((row: Row) => void)[] = []
    const { remembered, asked } = memory(() => new Promise((resolve) => answers.push(resolve)))
    const before = remembered.find('a', 0)
    remembered.forget('a')
    const after = remembered.find('a', 1)
    expect(asked).toEqual(['a', 'a'])
    answers[1]!({ id: 'a', version: 2 })
    answers[0]!({ id: 'a', version: 1 })
    expect([(await before)!.version, (await after)!.version]).toEqual([1, 2])
    expect((await remembered.find('a', 2))!.version).toBe(2)
  })

  test('is asked for once by many at the same time', async () => {
    const { remembered, asked } = memory()
    await Promise.all(Array.from({ length: 50 }, () => remembered.find('a', 0)))
    expect(asked).toEqual(['a'])
  })

  test('is neither kept as absent nor as failed', async () => {
    const outcomes = [async () => undefined, async () => Promise.reject(new Error('no database'))]
    for (const outcome of outcomes) {
      const { remembered, asked } = memory(outcome)
      for (let n = 0; n < 3; n++) await remembered.find('a', n).catch(() => undefined)
      expect(asked).toHaveLength(3)
      expect(remembered.has('a')).toBe(false)
    }
  })

  test('is not trusted when the clock was set back', async () => {
    const { remembered, asked } = memory()
    await remembered.find('a', 10_000)
    await remembered.find('a', 9_000)
    expect(asked).toHaveLength(2)
  })

  test('is forgotten, the oldest first, where there is too much of it', async () => {
    const { remembered } = memory()
    for (let n = 0; n <= 10_000; n++) await remembered.find(`name ${n}`, 0)
    expect([remembered.has('name 0'), remembered.has('name 1'), remembered.has('name 10000')]).toEqual([
      false,
      true,
      true,
    ])
  })
})
