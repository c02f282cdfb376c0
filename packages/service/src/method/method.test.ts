/** The method as data: open to everybody, and every link in it leads somewhere. */
import { catalogue } from '@liftledger/calc'
import { html } from 'hono/html'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { PAGE_POLICY } from '../render/page-style.ts'

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

const pageOf = (id: string) =>
  service.call<string>('nobody', `GET /method/quantities/${id}` as 'GET /v1/method/formulas')

test('every figure of a report leads in one step to expression, symbols, validity and source of its formulas', async () => {
  for (const { id, formulas } of catalogue.quantities) {
    const { status, headers, body } = await pageOf(id)
    expect([status, headers['content-type']], id).toEqual([200, 'text/html; charset=utf-8'])
    expect(headers['content-security-policy']).toBe(PAGE_POLICY)
    for (const formula of catalogue.formulas.filter((one) => formulas.includes(one.id))) {
      const { expression, inputs, validity, source } = formula
      const said = [expression, ...inputs.flatMap(({ symbol, means }) => [symbol, means]), validity, source.document]
      for (const text of said) if (text !== undefined) expect(body, formula.id).toContain(String(html`${text}`))
    }
  }
  expect((await pageOf('guess')).status).toBe(404)
})

test('what there is not is 404 in words', async () => {
  const { status, body } = await service.call<{ detail: string }>('nobody', 'GET /v1/method/formulas/guess')
  expect([status, body.detail]).toEqual([404, "The method has no formula 'guess'."])
})
