/** Gathering, against an asker whose answers come when the test lets them. */
import { setImmediate as turn } from 'node:timers/promises'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Gatherer } from './gather.ts'

interface Message {
  readonly items: readonly number[]
  readonly answer: () => void
  readonly fail: (error: Error) => void
}

/** A gatherer whose messages are held back; an item is answered with its double. */
function held(limits: { itemsMax?: number; messagesMax?: number; waitingMax?: number } = {}) {
  const messages: Message[] = []
  const gatherer = new Gatherer<number, number>(
    (items) =>
      new Promise((resolve, reject) => {
        messages.push({ items, answer: () => resolve(items.map((item) => item * 2)), fail: reject })
      }),
    {
      itemsMax: 4,
      messagesMax: 2,
      waitingMax: 100,
      ...limits,
      isOneItems: (error) => error instanceof RangeError,
    },
  )
  return { gatherer, messages, sent: () => messages.map(({ items }) => items) }
}

describe('questions', () => {
  test('of one turn travel as one message, and each gets its own answer', async () => {
    const { gatherer, messages, sent } = held()
    const answers = [1, 2, 3].map((item) => gatherer.ask(item))
    expect(sent()).toEqual([])
    await turn()
    expect(sent()).toEqual([[1, 2, 3]])
    messages[0]!.answer()
    expect(await Promise.all(answers)).toEqual([2, 4, 6])
  })

  test('leave at once while a message may go, and wait and gather while none may', async () => {
    const { gatherer, messages, sent } = held()
    const answers: Promise<number>[] = []
    for (const item of [1, 2, 3, 4, 5, 6, 7]) {
      answers.push(gatherer.ask(item))
      await turn()
    }
    expect(sent()).toEqual([[1], [2]])
    messages[1]!.answer()
    await turn()
    await turn()
    // No more than four in one.
    expect(sent()).toEqual([[1], [2], [3, 4, 5, 6]])
    messages[0]!.answer()
    messages[2]!.answer()
    await turn()
    await turn()
    messages[3]!.answer()
    expect(await Promise.all(answers)).toEqual([2, 4, 6, 8, 10, 12, 14])
  })

  test('beyond what may wait are refused, and those that wait are answered', async () => {
    const { gatherer, messages } = held({ waitingMax: 2, messagesMax: 1 })
    const first = gatherer.ask(1)
    await turn()
    const waiting = [gatherer.ask(2), gatherer.ask(3)]
    await expect(gatherer.ask(4)).rejects.toMatchObject({ code: 'overloaded', status: 503 })
    messages[0]!.answer()
    await first
    await turn()
    await turn()
    messages[1]!.answer()
    expect(await Promise.all(waiting)).toEqual([4, 6])
  })
})

describe('a failure', () => {
  test('is that of the message it met, and of no other', async () => {
    const { gatherer, messages } = held({ itemsMax: 2 })
    const answers = [1, 2, 3, 4].map((item) => gatherer.ask(item))
    const settled = Promise.allSettled(answers)
    await turn()
    messages[0]!.fail(new Error('connection lost'))
    messages[1]!.answer()
    expect((await settled).map((one) => (one.status === 'fulfilled' ? one.value : String(one.reason)))).toEqual([
      'Error: connection lost',
      'Error: connection lost',
      6,
      8,
    ])
    // And what comes after is asked as before.
    const later = gatherer.ask(9)
    await turn()
    messages[2]!.answer()
    expect(await later).toBe(18)
  })

  test('of one item spoils nothing for its company', async () => {
    const gatherer = new Gatherer<number, number>(
      async (items) => {
        if (items.includes(2)) throw new RangeError('2 is damaged')
        return items.map((item) => item * 2)
      },
      { itemsMax: 4, messagesMax: 1, waitingMax: 100, isOneItems: (error) => error instanceof RangeError },
    )
    const settled = await Promise.allSettled([1, 2, 3].map((item) => gatherer.ask(item)))
    expect(settled).toMatchObject([{ value: 2 }, { reason: { message: '2 is damaged' } }, { value: 6 }])
  })
})

test('whatever comes when and fails when: each is settled with its own answer, within the limits', async () => {
  const step = fc.record({
    asks: fc.integer({ min: 0, max: 9 }),
    lets: fc.integer({ min: 0, max: 3 }),
    fails: fc.boolean(),
  })
  await fc.assert(
    fc.asyncProperty(fc.array(step, { maxLength: 12 }), async (steps) => {
      let underWay = 0
      const open: (() => void)[] = []
      const gatherer = new Gatherer<number, number>(
        (items) => {
          underWay += 1
          expect(underWay).toBeLessThanOrEqual(2)
          expect(items.length).toBeLessThanOrEqual(4)
          return new Promise((resolve, reject) => {
            open.push(() => {
              underWay -= 1
              if (items.some((item) => item % 7 === 0)) reject(new Error('lost'))
              else resolve(items.map((item) => item * 2))
            })
          })
        },
        { itemsMax: 4, messagesMax: 2, waitingMax: 1_000, isOneItems: () => false },
      )
      const asked: Promise<string | number>[] = []
      for (const { asks, lets } of steps) {
        for (let n = 0; n < asks; n++) asked.push(gatherer.ask(asked.length + 1).catch(() => 'lost'))
        for (const go of open.splice(0, lets)) go()
        await turn()
      }
      let settled = false
      const all = Promise.all(asked).finally(() => {
        settled = true
      })
      while (!settled) {
        for (const go of open.splice(0)) go()
        await turn()
      }
      const answers = await all
      for (const [place, answer] of answers.entries()) {
        if (answer === 'lost') continue
        expect(answer).toBe((place + 1) * 2)
      }
      // Only company of a multiple of seven can be lost.
      expect(answers.filter((one) => one === 'lost').length).toBeLessThanOrEqual(4 * Math.ceil(answers.length / 7))
    }),
    { numRuns: 200 },
  )
})
