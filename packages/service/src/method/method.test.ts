/** The method as data: open to everybody, and every link in it leads somewhere. */
import { afterAll, beforeAll, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

interface List {
  items: { id: string }[]
}
const KINDS = ['editions', 'quantities', 'formulas', 'methods', 'findings', 'cautions'] as const

const hrefs = (value: unknown): string[] =>
  typeof value !== 'object' || value === null
    ? []
    : Object.entries(value).flatMap(([name, member]) => (name === 'href' ? [String(member)] : hrefs(member)))

test('each kind is listed and read without a key, and every link leads somewhere', async () => {
  const there = new Set<string>()
  const asked = new Set<string>()
  for (const kind of KINDS) {
    const { status, body } = await service.call<List>('nobody', `GET /v1/method/${kind}`)
    expect(status).toBe(200)
    expect(body.items.length).toBeGreaterThan(0)
    for (const { id } of body.items) there.add(`/v1/method/${kind}/${id}`)
    for (const href of hrefs(body.items)) asked.add(href)
    const [first] = body.items
    const one = await service.call<{ id: string }>('nobody', `GET /v1/method/${kind}/${first!.id}`)
    expect(one.body).toEqual(first)
  }
  expect([...asked].filter((href) => !there.has(href))).toEqual([])
})

test('from a quantity of a result to its formula it is two steps', async () => {
  const quantity = await service.call<{ formulas: { href: string }[] }>(
    'nobody',
    'GET /v1/method/quantities/overall-plant-efficiency',
  )
  const [link] = quantity.body.formulas
  const formula = await service.call<object>('nobody', `GET ${link!.href}` as 'GET /v1/method/formulas')
  expect(formula.body).toMatchObject({ id: 'overall-plant-efficiency', expression: expect.any(String), unit: '1' })
})

test('what there is not is 404 in words', async () => {
  const { status, body } = await service.call<{ detail: string }>('nobody', 'GET /v1/method/formulas/guess')
  expect([status, body.detail]).toEqual([404, "The method has no formula 'guess'."])
})
