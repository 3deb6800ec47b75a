import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.DefaultProfileValidationSupport;
import ca.uhn.fhir.context.support.IValidationSupport.IssueSeverity;
import ca.uhn.fhir.parser.StrictErrorHandler;
import ca.uhn.fhir.validation.FhirValidator;
import ca.uhn.fhir.validation.ResultSeverityEnum;
import ca.uhn.fhir.validation.SingleValidationMessage;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.hl7.fhir.common.hapi.validation.support.CommonCodeSystemsTerminologyService;
import org.hl7.fhir.common.hapi.validation.support.InMemoryTerminologyServerValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.PrePopulatedValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.SnapshotGeneratingValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.UnknownCodeSystemWarningValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.ValidationSupportChain;
import org.hl7.fhir.common.hapi.validation.validator.FhirInstanceValidator;
import org.hl7.fhir.instance.model.api.IBaseResource;
import org.hl7.fhir.r5.utils.validation.constants.BestPracticeWarningLevel;

/** Validates files against the standard and what else is known; gives messages of warning and above. */
final class Validation {
  private static final Pattern IS_DEFINITION = Pattern.compile("\"resourceType\"\\s*:\\s*\"StructureDefinition\"");

  private final FhirValidator validator;

  Validation(FhirContext context, DefaultProfileValidationSupport standard, List<Path> known) throws IOException {
    UnknownCodeSystemWarningValidationSupport unknown = new UnknownCodeSystemWarningValidationSupport(context);
    unknown.setNonExistentCodeSystemSeverity(IssueSeverity.WARNING);
    FhirInstanceValidator instances = new FhirInstanceValidator(new ValidationSupportChain(
        known(context, standard, known),
        standard,
        new CommonCodeSystemsTerminologyService(context),
        new InMemoryTerminologyServerValidationSupport(context),
        new SnapshotGeneratingValidationSupport(context),
        unknown)); // last: it answers for whatever nobody knows
    instances.setBestPracticeWarningLevel(BestPracticeWarningLevel.Warning);
    instances.setErrorForUnknownProfiles(true);
    instances.setAnyExtensionsAllowed(true);
    validator = context.newValidator().registerValidatorModule(instances);
  }

  /** Returns the resources of files and folders, of every type: the class it extends keeps only some of them. */
  private static PrePopulatedValidationSupport known(
      FhirContext context, DefaultProfileValidationSupport standard, List<Path> places) throws IOException {
    Map<String, IBaseResource> others = new HashMap<>();
    PrePopulatedValidationSupport given = new PrePopulatedValidationSupport(context) {
      @Override
      public <T extends IBaseResource> T fetchResource(Class<T> type, String uri) {
        IBaseResource other = others.get(uri);
        return type != null && type.isInstance(other) ? type.cast(other) : super.fetchResource(type, uri);
      }
    };
    for (Path file : files(places)) {
      IBaseResource resource = context.newJsonParser()
          .setParserErrorHandler(new StrictErrorHandler())
          .parseResource(Files.readString(file));
      switch (resource.fhirType()) {
        case "StructureDefinition" -> {
          given.addResource(resource);
          if ("Extension".equals(context.newTerser().getSinglePrimitiveValueOrNull(resource, "type"))) {
            OwnCache.add(context, standard, resource);
          }
        }
        case "CodeSystem", "ValueSet", "SearchParameter" -> given.addResource(resource);
        case "Questionnaire", "ConceptMap" -> {
          String url = context.newTerser().getSinglePrimitiveValueOrNull(resource, "url");
          String version = context.newTerser().getSinglePrimitiveValueOrNull(resource, "version");
          others.put(url, resource);
          others.put(url + "|" + version, resource);
        }
        default -> { } // nothing refers to it
      }
    }
    return given;
  }

  private static List<Path> files(List<Path> places) throws IOException {
    List<Path> files = new ArrayList<>();
    for (Path place : places) {
      if (Files.isDirectory(place)) {
        try (Stream<Path> inside = Files.list(place)) {
          inside.filter(one -> one.toString().endsWith(".json")).sorted().forEach(files::add);
        }
      } else {
        files.add(place);
      }
    }
    return files;
  }

  List<Map<String, String>> messages(Path file) {
    try {
      String text = Files.readString(file);
      if (IS_DEFINITION.matcher(text).find()) {
        synchronized (OwnCache.class) { // the validator's package cache isn't made for two at a time
          return messages(text);
        }
      }
      return messages(text);
    } catch (Exception unreadable) {
      String reason = unreadable.toString();
      return List.of(Map.of("severity", "error", "id", "unreadable", "where", "", "message", reason));
    }
  }

  private List<Map<String, String>> messages(String text) {
    List<Map<String, String>> found = new ArrayList<>();
    for (SingleValidationMessage one : validator.validateWithResult(text).getMessages()) {
      boolean isWorse = isWorseThanSaid(one);
      if (one.getSeverity() == ResultSeverityEnum.INFORMATION && !isWorse) continue;
      found.add(Map.of(
          "severity", isWorse || one.getSeverity() != ResultSeverityEnum.WARNING ? "error" : "warning",
          "id", String.valueOf(one.getMessageId()),
          "where", String.valueOf(one.getLocationString()).replaceAll("/\\*.*?\\*/", ""),
          "message", String.valueOf(one.getMessage())));
    }
    return found;
  }

  /** Returns whether the engine makes too little of a message: nobody can resolve the reference, find the form, … */
  private static boolean isWorseThanSaid(SingleValidationMessage one) {
    return switch (String.valueOf(one.getMessageId())) {
      case "Bundle_BUNDLE_Not_Local", "Questionnaire_QR_Q_NotFound" -> true;
      case "Extension_EXT_Unknown" -> one.getLocationString().contains("modifierExtension");
      default -> false;
    };
  }
}
