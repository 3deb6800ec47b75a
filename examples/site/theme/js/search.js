// Searches all pages, in the browser: the index is a script beside the pages, so that it also works from a disk.
const base = document.body.dataset.base
const form = document.querySelector('form.search')
const input = document.getElementById('search')
const state = document.getElementById('search-state')
const panel = document.querySelector('.results')
const list = panel.querySelector('ol')
const MOST = 20
let index = null
let loading = null

function script(path) {
  return new Promise((resolve, reject) => {
    const one = document.createElement('script')
    one.src = `${base}/${path}`
    one.onload = resolve
    one.onerror = reject
    document.head.append(one)
  })
}

async function load() {
  await script('search/lunr.js')
  await script('search/index.js')
  const docs = window.searchIndex.docs
  index = {
    docs: new Map(docs.map((doc) => [doc.location, doc])),
    lunr: window.lunr(function () {
      this.ref('location')
      this.field('title', { boost: 10 })
      this.field('text')
      for (const doc of docs) this.add(doc)
    }),
  }
}

function matches(text) {
  const words = window.lunr.tokenizer(text).map(String)
  if (words.length === 0) return []
  return index.lunr.query((query) => {
    for (const word of words) {
      query.term(word, { boost: 5 })
      query.term(word, { boost: 1, wildcard: window.lunr.Query.wildcard.TRAILING, usePipeline: false })
    }
  })
}

async function show() {
  const asked = input.value.trim()
  if (asked.length < 2) {
    panel.hidden = true
    list.replaceChildren()
    state.textContent = ''
    form.ariaBusy = 'false'
    return
  }
  form.ariaBusy = 'true'
  loading ??= load()
  await loading
  if (asked !== input.value.trim()) return
  const found = matches(asked)
  list.replaceChildren(
    ...found.slice(0, MOST).map(({ ref }) => {
      const doc = index.docs.get(ref)
      const page = index.docs.get(ref.split('#')[0])
      const item = document.createElement('li')
      const link = document.createElement('a')
      const about = document.createElement('span')
      link.href = `${base}/${ref}`
      link.textContent = doc.title
      about.textContent = (page && page !== doc ? `${page.title}: ` : '') + doc.text.slice(0, 140)
      item.append(link, about)
      return item
    }),
  )
  panel.hidden = found.length === 0
  state.textContent = found.length > MOST ? `${MOST} of ${found.length} found` : `${found.length} found`
  form.ariaBusy = 'false'
}

form.hidden = false
form.addEventListener('submit', (event) => {
  event.preventDefault()
  list.querySelector('a')?.focus()
})
input.addEventListener('input', show)
addEventListener('keydown', (event) => {
  if (event.key === 'Escape' && (event.target === input || panel.contains(event.target))) {
    input.value = ''
    show()
    input.focus()
  }
})
