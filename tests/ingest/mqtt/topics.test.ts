import { expect, test } from 'vitest'
import {
  mayPublish,
  maySubscribe,
  TOPIC_KINDS,
  topicFor,
  topicOf,
  topicsOfAll,
} from '../../../server/ingest/mqtt/topics.ts'

test.each(TOPIC_KINDS)('a topic of the kind %s comes back as it was made', (what) => {
  expect(topicOf(topicFor('crawl-04.b_2', what))).toEqual({ logger: 'crawl-04.b_2', what })
})

test.each([
  '',
  '/',
  'underjoist',
  'underjoist/crawl-04',
  'underjoist/crawl-04/',
  'underjoist/crawl-04/reading',
  'underjoist/crawl-04/Readings',
  'underjoist/crawl-04/readings/',
  'underjoist/crawl-04/readings/more',
  '/underjoist/crawl-04/readings',
  'Underjoist/crawl-04/readings',
  'underjoist//readings',
  'underjoist/+/readings',
  'underjoist/#',
  'underjoist/Crawl-04/readings',
  'underjoist/.crawl/readings',
  'underjoist/crawl 04/readings',
  'underjoist/crawl-04\n/readings',
  'underjoist/crawl-04\0/readings',
  `underjoist/${'a'.repeat(65)}/readings`,
  '$SYS/broker/uptime',
])('%j is none of ours', (topic) => {
  expect(topicOf(topic)).toBeNull()
})

test('a logger speaks below its own topic alone, and writes no receipts', () => {
  const may = TOPIC_KINDS.filter((what) => mayPublish('a', { logger: 'a', what }))
  expect(may).toEqual(['readings', 'senml', 'status'])
  expect(TOPIC_KINDS.some((what) => mayPublish('a', { logger: 'b', what }))).toBe(false)
})

test('a logger hears nothing but its own receipt', () => {
  expect(maySubscribe('a', 'underjoist/a/receipt')).toBe(true)
  for (const filter of [
    '#',
    '+/+/+',
    'underjoist/#',
    'underjoist/+/receipt',
    'underjoist/a/#',
    'underjoist/b/receipt',
  ]) {
    expect(maySubscribe('a', filter), filter).toBe(false)
  }
})

test('the service listens to all that loggers may say', () => {
  expect(topicsOfAll()).toEqual(['underjoist/+/readings', 'underjoist/+/senml', 'underjoist/+/status'])
})
