-- One row a finding, or an item of a list that no finding names.
-- Over the views beside this file; generated from the table’s own columns.
WITH belongs AS (SELECT report_key, observation_key FROM dermoscopy_report_result UNION SELECT a.report_key, m.observation_key FROM dermoscopy_report_result a JOIN dermoscopy_panel_member m ON m.panel_key = a.observation_key),
looked AS (SELECT report_key, 'finding' AS recorded_as, CASE WHEN structure_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN structure ELSE structure_system || '|' || structure END AS structure, CASE WHEN place_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN place ELSE place_system || '|' || place END AS place, CASE WHEN absent_reason = 'not-performed' THEN 'not-assessed' ELSE CASE WHEN presence_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN presence ELSE presence_system || '|' || presence END END AS presence, COALESCE(CASE WHEN recorded_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN recorded ELSE recorded_system || '|' || recorded END, CASE WHEN absent_reason = 'not-performed' THEN 'not-assessed' ELSE CASE WHEN presence_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN presence ELSE presence_system || '|' || presence END END) AS recorded, CASE WHEN because_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN because ELSE because_system || '|' || because END AS because, CASE WHEN distribution_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN distribution ELSE distribution_system || '|' || distribution END AS distribution, CASE WHEN regularity_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN regularity ELSE regularity_system || '|' || regularity END AS regularity, number, area_percent, size_mm, polarised, non_polarised FROM dermoscopy_finding JOIN belongs USING (observation_key) UNION ALL SELECT DISTINCT report_key, 'list' AS recorded_as, CASE WHEN structure_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN structure ELSE structure_system || '|' || structure END AS structure, NULL AS place, CASE WHEN absent_reason = 'not-performed' THEN 'not-assessed' ELSE CASE WHEN presence_system LIKE 'https://dermreport.example/fhir/CodeSystem/%' THEN presence ELSE presence_system || '|' || presence END END AS presence, NULL AS recorded, because, NULL AS distribution, NULL AS regularity, NULL AS number, NULL AS area_percent, NULL AS size_mm, NULL AS polarised, NULL AS non_polarised FROM dermoscopy_list_item JOIN belongs USING (observation_key))
SELECT
  r.identifier_system || '|' || r.identifier_value AS examination,
  r.revision AS revision,
  r.status AS status,
  k.structure AS structure,
  k.recorded_as AS recorded_as,
  k.place AS place,
  k.presence AS presence,
  k.recorded AS recorded,
  k.because AS because,
  k.distribution AS distribution,
  k.regularity AS regularity,
  k.number AS count,
  k.area_percent AS area_percent,
  k.size_mm AS size_mm,
  k.polarised AS in_polarised_light,
  k.non_polarised AS in_non_polarised_light
FROM dermoscopy_report r
JOIN looked k ON k.report_key = r.report_key
